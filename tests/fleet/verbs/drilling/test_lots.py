"""The month's lots: drawn once, kept whole, and the same when drawn again."""

from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest

from fleet.models import DrawnMesh, Drill, DrillDraw, JournalEntry
from fleet.planning.drilling.lots import draw
from fleet.queries.drilling.lots import drawn_again, drawn_meshes, lots_now, lots_of, month_of
from fleet.tasks import draw_drill_lots
from fleet.verbs.drilling.lots import NotDrawn, draw_if_due, draw_month
from tests import make

pytestmark = pytest.mark.django_db

NEXT_MONTH = make.NOW + timedelta(days=10)


@pytest.fixture
def meshes():
    return [make.mesh() for _ in range(30)]  # of 30, 2 are drawn a month


def codes(row):
    return list(row.drawn.values_list("mesh__code", flat=True))


def test_the_seed_the_weights_and_the_outcome_are_kept(meshes):
    row = draw_month(make.NOW, "Orla")

    assert (row.month, row.count, len(row.lots)) == (date(2027, 3, 1), 2, 30)
    assert len(row.seed) == 32
    assert tuple(codes(row)) == draw(lots_of(row), 2, Random(row.seed))
    assert drawn_again(row)
    line = JournalEntry.objects.get(what="drill lots drawn")
    assert (line.who, line.details["seed"], line.details["drawn"]) == ("Orla", row.seed, codes(row))


def test_two_books_are_not_drawn_with_one_seed(meshes):
    first = draw_month(make.NOW, "Orla").seed
    assert draw_month(NEXT_MONTH, "Orla").seed != first


def test_a_month_is_drawn_once(meshes):
    first = draw_month(make.NOW, "Orla")
    with pytest.raises(NotDrawn, match="the lots of 2027-03 were drawn on 2027-03-26 by Orla"):
        draw_month(make.NOW + timedelta(days=3), "Tomasz")
    assert list(DrillDraw.objects.all()) == [first]


def test_the_month_is_that_of_the_firm():
    make.firm(time_zone="Pacific/Chatham")  # 13:45 ahead of UTC in March
    assert month_of(datetime(2027, 3, 31, 11, 0, tzinfo=UTC)) == date(2027, 4, 1)


def test_what_is_drawn_stays_drawn_and_has_no_second_lot(meshes):
    first = codes(draw_month(make.NOW, "Orla"))
    second = codes(draw_month(NEXT_MONTH, "Orla"))

    assert set(first).isdisjoint(second)
    assert {each.row.mesh.code for each in drawn_meshes() if each.answer is None} == {*first, *second}


@pytest.mark.parametrize(
    ("given", "answers"),
    [
        ({"kind": "bench"}, True),
        ({"kind": "live"}, True),
        ({"kind": "bench", "result": "failed"}, True),
        ({"kind": "paper"}, False),
        ({"kind": "bench", "own_pair_only": True}, False),
        ({"kind": "bench", "done_at": make.NOW - timedelta(days=30)}, False),
    ],
    ids=["bench", "live", "failed", "paper", "other-build", "before-the-draw"],
)
def test_a_draw_is_answered_by_the_first_drill_that_says_something_of_the_home(given, answers):
    mesh = make.mesh()
    make.drill_draw(mesh)
    drill = make.drill(mesh, **{"done_at": make.NOW, **given})

    (drawn,) = drawn_meshes()
    assert drawn.answer == (drill if answers else None)


def test_a_failed_drill_is_not_washed_out_by_a_later_one():
    mesh = make.mesh()
    make.drill_draw(mesh)
    failed = make.drill(mesh, done_at=make.NOW - timedelta(days=2), result="failed")
    make.drill(mesh, done_at=make.NOW)
    assert drawn_meshes()[0].answer == failed


def test_weights_follow_the_record_of_the_pair_that_the_plan_would_use():
    build, mesh, untried = make.release(), make.mesh(), make.mesh()
    make.service(mesh, make.radio(state="on_air", firmware=build))
    mesh.best_spare = make.spare(firmware=build)
    mesh.save()
    for _ in range(10):
        make.drill(make.mesh(in_care=False), source_release=build, target_release=build)

    weights = {lot.mesh: lot.weight for lot in lots_now()}
    assert weights == {mesh.code: 259, untried.code: 1000}  # C8: 10 of 10 leave 25.9 % open


@pytest.mark.parametrize("changed", ["seed", "lots", "drawn"])
def test_what_was_changed_since_shows_when_it_is_drawn_again(meshes, changed):
    row = draw_month(make.NOW, "Orla", seed="one seed")
    if changed == "seed":
        row.seed = "a better one"
    elif changed == "lots":
        row.lots = [lot for lot in row.lots if lot[0] not in codes(row)]
    else:
        easy = next(mesh for mesh in meshes if mesh.code not in codes(row))
        DrawnMesh.objects.filter(draw=row, place=1).update(mesh=easy)
    assert not drawn_again(row)


def test_the_schedule_draws_once_where_nobody_has(meshes):
    assert draw_if_due(make.NOW).by == "schedule"
    assert draw_if_due(make.NOW) is None
    assert DrillDraw.objects.count() == 1


def test_an_empty_book_draws_nothing():
    with pytest.raises(NotDrawn, match="No mesh is left to draw"):
        draw_month(make.NOW, "Orla")
    assert draw_if_due(make.NOW) is None
    assert not DrillDraw.objects.exists()


def test_the_job_draws(meshes):
    draw_drill_lots()
    draw_drill_lots()
    assert DrillDraw.objects.get().by == "schedule"


def test_a_home_that_left_our_care_undrilled_is_not_held_against_anybody():
    mesh = make.mesh(in_care=False)
    make.drill_draw(mesh)
    assert drawn_meshes() == ()
    assert not Drill.objects.exists()
