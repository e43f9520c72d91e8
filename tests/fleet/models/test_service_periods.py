"""One identity, one voice: held by the database, whoever writes."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from fleet.models import RadioState
from tests import make

pytestmark = pytest.mark.django_db

HEAD = "02A4C138F00D0011"
NET = "02D1CE00F00D0011"


def period(mesh=None, radio=None, since=0, until=None, head=HEAD, net=NET):
    return make.service(
        mesh or make.mesh(),
        radio or make.radio(),
        head_address=head,
        extended_pan_id=net,
        since=make.NOW + timedelta(days=since),
        until=None if until is None else make.NOW + timedelta(days=until),
    )


def test_two_radios_never_serve_with_one_identity_at_once():
    period()

    with pytest.raises(IntegrityError):
        period()


@pytest.mark.parametrize(
    ("since", "until"), [(-5, 5), (2, 3), (9, None), (-5, None)], ids=["front", "inside", "back", "around"]
)
def test_closed_periods_of_one_identity_never_overlap(since, until):
    period(since=0, until=10)

    with pytest.raises(IntegrityError):
        period(since=since, until=until)


def test_a_period_may_begin_the_moment_another_ends():
    period(since=0, until=10)

    assert period(since=10).pk


def test_another_identity_may_serve_meanwhile():
    period()

    assert period(head="02A4C138F00D0022", net="02D1CE00F00D0022").pk


def test_one_radio_serves_one_mesh_at_a_time():
    radio = make.radio()
    period(radio=radio, until=10)

    with pytest.raises(IntegrityError):
        period(radio=radio, since=5, head="02A4C138F00D0022", net="02D1CE00F00D0022")


def test_one_mesh_has_one_head_at_a_time():
    mesh = make.mesh()
    period(mesh=mesh, until=10)

    with pytest.raises(IntegrityError):
        period(mesh=mesh, since=5, head="02A4C138F00D0022", net="02D1CE00F00D0022")


def test_an_update_cannot_make_two_periods_overlap():
    period(since=0, until=10)
    later = period(since=10, until=20)
    later.since = make.NOW + timedelta(days=9)

    with pytest.raises(IntegrityError), transaction.atomic():
        later.save()


def test_two_radios_on_air_never_carry_one_address():
    make.radio(state=RadioState.ON_AIR, carried_address=HEAD)

    with pytest.raises(IntegrityError):
        make.radio(state=RadioState.ON_AIR, carried_address=HEAD)
