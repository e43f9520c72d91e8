"""A mesh with dailies, its radio, and a blank spare of the same build on a shelf far away."""

from datetime import timedelta

import pytest

from fleet.models import DrillKind, Mesh, Rehearsal
from fleet.planning.drilling.setup import Setup
from fleet.planning.drilling.steps import Step
from fleet.verbs.drilling.bench import Intent
from fleet.verbs.drilling.holding import begin, finish_step, give_out
from tests import make
from tests.fleet.verbs.replacing.conftest import good_release
from tests.fleet.verbs.test_grant import fed

MINUTE = timedelta(minutes=1)


@pytest.fixture
def shelf():
    return make.place(
        code="SHELF-1", name="Bench shelf", kind="shelf", latitude="55.04000", longitude="-1.52000"
    )


@pytest.fixture
def build():
    return good_release(make.radio_model(channel_mask=0x07FFF800, max_power_dbm=20))


@pytest.fixture
def mesh(build):
    mesh = fed(make.mesh(site=make.site(code="KELP-7")))
    make.service(mesh, make.radio(state="on_air", firmware=build, carried_address=mesh.head_address))
    return mesh


@pytest.fixture
def spare(build, shelf):
    return make.spare(code="A2-0110", firmware=build, place=shelf)


def intent(spare, **given):
    told = {
        "kind": DrillKind.BENCH,
        "radio": spare,
        "place": spare.place,
        "setup": Setup.SHIELDED,
        "nothing_radiates": True,
    }
    return Intent(**{**told, **given})


def begun(mesh, spare, now=make.NOW, **given) -> Rehearsal:
    return begin(Mesh.objects.get(pk=mesh.pk), intent(spare, **given), "Noor", now)


def worked_through(row, now=make.NOW):
    """Every step done in five minutes each, the document taken at its own; when the last was done."""
    for step in (Step.FETCH, Step.FIND, Step.COPY, Step.WRITE, Step.START, Step.COMPARE):
        if step is Step.WRITE:
            give_out(row, "Noor", now)
        now += 5 * MINUTE
        finish_step(row, step, "", "Noor", now)
    return now
