"""Two technicians at one replacement at the same moment, on the database of production."""

from datetime import timedelta
from functools import partial

import pytest
from django.db import IntegrityError, transaction

from fleet.models import Mesh, Replacement, ServicePeriod, SilenceProof, Silencing
from fleet.planning.replacing.states import State
from fleet.verbs.replacing import moving
from fleet.verbs.replacing.moving import MoveRefused, Step, move
from tests import make
from tests.fleet.verbs.replacing.conftest import photo
from tests.servers.together import at_once

pytestmark = pytest.mark.django_db(transaction=True)

TRIES = 100


def test_of_two_who_tap_the_same_step_one_makes_it_and_the_other_is_told(monkeypatch):
    for name in ("preflight", "against_now"):  # judged in tests of the verbs
        monkeypatch.setattr(moving, name, lambda *args: ())
    jpeg = photo(size=(40, 30))
    for _ in range(10):
        mesh = make.mesh()
        make.service(mesh)
        swap = make.replacement(mesh, state=State.ARRIVED.value)

        def silence(by, swap=swap):
            move(
                swap,
                Step(State.SILENCED, State.ARRIVED, by, silencing=Silencing.UNPLUGGED, photo=jpeg),
                make.NOW + timedelta(days=1),
            )

        outcomes = at_once(partial(silence, "Noor"), partial(silence, "Pekka"))

        refused = [each for each in outcomes if isinstance(each, MoveRefused)]
        assert len(refused) == 1
        assert "silenced already by" in str(refused[0])
        assert SilenceProof.objects.filter(replacement=swap).count() == 1
        assert Replacement.objects.get(pk=swap.pk).moves.count() == 1


def test_two_radios_never_speak_with_one_identity_in_a_hundred_tries():
    for _ in range(TRIES):
        mesh = make.mesh()
        one, other = make.radio(), make.radio()

        def speak(radio, mesh=mesh):
            with transaction.atomic():
                ServicePeriod.objects.create(
                    radio=radio,
                    mesh=mesh,
                    head_address=mesh.head_address,
                    extended_pan_id=mesh.extended_pan_id,
                    since=make.NOW,
                )

        outcomes = at_once(partial(speak, one), partial(speak, other))

        assert sum(isinstance(each, IntegrityError) for each in outcomes) == 1
        assert Mesh.objects.get(pk=mesh.pk).periods.count() == 1
