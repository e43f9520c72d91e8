"""Radios that never worked, and claims on makers."""

from datetime import date, timedelta

import pytest

from fleet.models import JournalEntry
from fleet.planning.stock import why_not
from fleet.queries.spares import SpareShelf
from fleet.queries.stock import lying
from fleet.verbs import warranty as verbs
from tests import make

pytestmark = pytest.mark.django_db
TODAY = make.NOW.date()


def test_one_that_never_worked_is_no_spare():
    radio = make.spare(place=make.place())

    radio = verbs.note_dead(radio, TODAY, "takes no power", "Pekka", make.NOW)

    assert why_not(lying(radio)) == "it does not stand by"
    assert SpareShelf.load().spares == ()
    assert JournalEntry.objects.get().details == {"on": "2027-03-26", "because": "takes no power"}


def test_one_that_led_a_mesh_did_not_die_on_arrival():
    radio = make.service(make.mesh()).radio

    with pytest.raises(verbs.WarrantyRefused, match="has led a mesh"):
        verbs.note_dead(radio, TODAY, "takes no power", "Pekka", make.NOW)


@pytest.mark.parametrize(
    ("on", "because", "told"),
    [
        (TODAY, "", "because: nothing was written"),
        (TODAY + timedelta(days=2), "dead", "on: 2027-03-28 is to come"),
        (date(2026, 1, 1), "dead", "right is 2026-01-02, when it was bought, or later"),
    ],
    ids=["no word", "a day to come", "before it was bought"],
)
def test_what_cannot_be_says_why(on, because, told):
    with pytest.raises(verbs.WarrantyRefused, match=told):
        verbs.note_dead(make.spare(bought_on=date(2026, 1, 2)), on, because, "Pekka", make.NOW)


def test_a_claim_is_made_once_and_for_a_radio_that_failed():
    good, dead = make.spare(), make.spare(dead_on_arrival_on=TODAY)

    with pytest.raises(verbs.WarrantyRefused, match="has not failed"):
        verbs.note_claim(good, TODAY, "Pekka", make.NOW)
    assert verbs.note_claim(dead, TODAY, "Pekka", make.NOW).claimed_on == TODAY
    with pytest.raises(verbs.WarrantyRefused, match="was claimed on 2027-03-26 already"):
        verbs.note_claim(dead, TODAY, "Pekka", make.NOW)
