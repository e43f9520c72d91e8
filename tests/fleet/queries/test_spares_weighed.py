"""Which of many spares are weighed for a home."""

import pytest

from fleet.planning.readiness import assess
from fleet.planning.stock import why_not
from fleet.queries.readiness import judged
from fleet.queries.spares import MOST_WEIGHED, SpareShelf
from fleet.queries.stock import lying
from tests import make
from tests.fleet.verbs.replacing.conftest import MORNING, good_release, mesh  # noqa: F401

pytestmark = pytest.mark.django_db


def weighed(mesh):  # noqa: F811
    return judged(mesh, SpareShelf.load(), MORNING).facts.spares


def test_near_spares_of_one_build_do_not_crowd_out_a_farther_one_that_fits(mesh):  # noqa: F811
    clean = mesh.periods.get().radio.firmware.radios.get(code="NEW-1")
    clean.place = make.place(latitude=10, longitude=10)
    clean.save()
    untested = make.release(mesh.periods.get().radio.model)
    near = make.place(latitude=0.5, longitude=0.5)
    mesh.site.latitude, mesh.site.longitude = 0, 0
    mesh.site.save()
    before = assess(judged(mesh, SpareShelf.load(), MORNING).facts).state

    for _ in range(3 * MOST_WEIGHED):
        make.spare(firmware=untested, place=near)

    assert clean.code in {spare.code for spare in weighed(mesh)}
    assert len(weighed(mesh)) == MOST_WEIGHED
    assert assess(judged(mesh, SpareShelf.load(), MORNING).facts).state is before


def test_a_spare_that_a_drill_wrote_to_since_is_blank_nowhere(mesh):  # noqa: F811
    spare = mesh.periods.get().radio.firmware.radios.get(code="NEW-1")
    assert weighed(mesh)[0].blank_proven
    make.drill(mesh, radio=spare, done_at=make.NOW)

    assert not weighed(mesh)[0].blank_proven
    assert why_not(lying(spare)) == "nobody has proven it blank"


def test_every_build_is_weighed_once_however_many_there_are(mesh):  # noqa: F811
    model = mesh.periods.get().radio.model
    place = make.place(latitude=0.5, longitude=0.5)
    for number in range(MOST_WEIGHED + 2):
        make.spare(firmware=good_release(model, f"8.{number}"), place=place)

    assert len(weighed(mesh)) == MOST_WEIGHED + 3
    assert "NEW-1" in {spare.code for spare in weighed(mesh)}
