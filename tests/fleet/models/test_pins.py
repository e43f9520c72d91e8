"""What the database itself holds about pins."""

import pytest
from django.db import IntegrityError, transaction

from fleet.models import PinKind
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def copy():
    return make.snapshot(make.mesh())


def refused(mesh, copy=None, **given):
    with pytest.raises(IntegrityError), transaction.atomic():
        make.pin(mesh, copy, **given)


def test_a_whole_mesh_is_held_by_law_only(copy):
    refused(copy.mesh, kind=PinKind.BY_HAND)


@pytest.mark.parametrize("empty", ["reason", "by"])
def test_a_pin_says_who_and_why(copy, empty):
    refused(copy.mesh, copy, **{empty: ""})


def test_a_copy_has_one_pin_of_a_kind(copy):
    make.pin(copy.mesh, copy)

    refused(copy.mesh, copy)


def test_a_mesh_has_one_legal_hold(copy):
    make.pin(copy.mesh)

    refused(copy.mesh)


def test_an_ended_pin_makes_room_for_another(copy):
    make.pin(copy.mesh, copy, ended_at=make.NOW, ended_by="Orla")

    assert make.pin(copy.mesh, copy).ended_at is None


def test_the_end_of_a_pin_says_who(copy):
    refused(copy.mesh, copy, ended_at=make.NOW)
