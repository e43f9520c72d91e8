"""A pin and a round at one copy at the same moment: it is kept, or it is gone, and whoever pins is told which."""

import threading
from datetime import timedelta

import pytest
from django.db import connection, transaction

from fleet.models import Custody, Mesh
from fleet.verbs import pins
from fleet.verbs.keep import apply_rule
from tests import make

pytestmark = pytest.mark.django_db(transaction=True)

PATIENCE_SECONDS = 30
DUE = make.NOW + timedelta(days=8)


@pytest.fixture
def copy():
    """A copy that was marked eight days ago."""
    mesh = make.mesh(keep_rule=make.keep_rule(days=1, weeks=0, months=0, years=0))
    make.snapshot(mesh, taken_at=make.NOW)
    old = make.snapshot(mesh, taken_at=make.NOW - timedelta(days=3))
    apply_rule(mesh, make.NOW, True)
    return old


class Somebody(threading.Thread):
    """Pins the copy by a connection of their own."""

    def __init__(self, copy) -> None:
        super().__init__()
        self.copy, self.told = copy, ""

    def run(self) -> None:
        try:
            pins.keep_by_hand(self.copy, "the insurer asks", "Noor", DUE)
        except pins.PinRefused as refused:
            self.told = str(refused)
        finally:
            connection.close()


def locked(mesh_id: int) -> Mesh:
    rows = Mesh.objects.select_for_update(of=("self",), no_key=True)
    return rows.select_related("site__client", "keep_rule").get(pk=mesh_id)


def test_whoever_pins_while_a_round_erases_waits_and_is_told_that_it_is_gone(copy):
    noor = Somebody(copy)
    with transaction.atomic():
        mesh = locked(copy.mesh_id)
        noor.start()
        noor.join(1)
        assert noor.is_alive()
        apply_rule(mesh, DUE, True)
    noor.join(PATIENCE_SECONDS)

    copy.refresh_from_db()
    assert copy.custody == Custody.GONE
    assert "can no longer be brought back" in noor.told


def test_a_round_that_waits_for_a_pin_leaves_the_copy(copy):
    with transaction.atomic():
        pins.keep_by_hand(copy, "the insurer asks", "Noor", DUE)
        round_ = threading.Thread(target=one_round, args=[copy.mesh_id])
        round_.start()
        round_.join(1)
        assert round_.is_alive()
    round_.join(PATIENCE_SECONDS)

    copy.refresh_from_db()
    assert (copy.custody, copy.holds) == (Custody.PINNED, ["kept by hand"])


def one_round(mesh_id: int) -> None:
    try:
        with transaction.atomic():
            apply_rule(locked(mesh_id), DUE, True)
    finally:
        connection.close()
