"""The database refuses what no form should have let through."""

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, IntegrityError

from fleet.models import Currency, Custody, Grade, JournalEntry, Snapshot
from tests import make

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("code", ["kelp-7", "KELP7", "K-7", "KELP-12345", "KELP-7-A", ""])
def test_a_site_code_has_its_form(code):
    with pytest.raises(IntegrityError):
        make.site(code=code)


@pytest.mark.parametrize(
    ("latitude", "longitude"), [("91", "0"), ("0", "181"), ("68.1", None), (None, "14.2")]
)
def test_a_position_is_whole_and_on_earth(latitude, longitude):
    with pytest.raises(IntegrityError):
        make.site(latitude=latitude, longitude=longitude)


def test_a_time_zone_is_a_name_and_not_an_offset():
    home = make.site()
    home.time_zone = "+01:00"

    with pytest.raises(ValidationError, match="Europe/Oslo"):
        home.full_clean()


@pytest.mark.parametrize("channel", [10, 27, 0])
def test_a_mesh_is_on_a_channel_from_11_to_26(channel):
    with pytest.raises(IntegrityError):
        make.mesh(channel=channel)


@pytest.mark.parametrize(
    "address", ["0" * 16, "F" * 16, "02a4c138f00d0011", "02A4", "02:A4:C1:38:F0:0D:00:1"]
)
def test_an_address_column_takes_an_eui64_in_one_form_only(address):
    with pytest.raises(DatabaseError):
        make.mesh(head_address=address)


def test_an_agreement_does_not_end_before_it_starts():
    with pytest.raises(IntegrityError):
        make.agreement(make.site(), ends_on="2025-12-31")


@pytest.mark.parametrize("hours", [0, 8761])
def test_a_recovery_point_is_between_an_hour_and_a_year(hours):
    with pytest.raises(IntegrityError):
        make.agreement(make.site(), recovery_point_hours=hours)


def test_there_is_one_default_keep_rule():
    make.keep_rule(is_default=True)

    with pytest.raises(IntegrityError):
        make.keep_rule(is_default=True)


def test_a_subcontractors_access_must_end():
    with pytest.raises(IntegrityError):
        make.person(role="subcontractor", access_ends_on=None)


@pytest.mark.parametrize("grade", Grade.values)
@pytest.mark.parametrize("currency", Currency.values)
def test_grade_and_currency_fit_together(grade, currency):
    """Trade section 8: landed and held are always unjudged, the other grades never."""
    unjudged = currency == "unjudged"
    legal = unjudged == (grade in ("landed", "held"))
    copy = make.snapshot(make.mesh())
    change = Snapshot.objects.filter(pk=copy.pk)

    if legal:
        assert change.update(grade=grade, currency=currency) == 1
    else:
        with pytest.raises(IntegrityError):
            change.update(grade=grade, currency=currency)


def test_forty_four_of_eighty_combinations_are_legal():
    """Grade, currency and custody together, counted by hand in trade section 8."""
    legal = [
        (grade, currency, custody)
        for grade in Grade.values
        for currency in Currency.values
        for custody in Custody.values
        if (currency == "unjudged") == (grade in ("landed", "held"))
    ]

    assert len(legal) == 44


def test_a_node_never_has_a_broadcast_short_address():
    with pytest.raises(IntegrityError):
        make.node(make.mesh(), short_address=0xFFF8)


def test_the_journal_is_a_plain_row():
    assert str(JournalEntry(at=make.NOW, who="Orla", what="looked", subject="KELP-7")).startswith(
        "2027-03-26"
    )
