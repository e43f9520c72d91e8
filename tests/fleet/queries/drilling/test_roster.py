from datetime import timedelta

import pytest

from fleet.models import RehearsalStep
from fleet.planning.estimating import RestoreWork, ThreePoints
from fleet.queries.drilling.minutes import recorded_minutes
from fleet.queries.drilling.roster import roster_of
from fleet.queries.readiness import judged
from fleet.queries.spares import SpareShelf
from tests import make
from tests.fleet.verbs.covered import covered_mesh

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


def home(code, days_ago=None, interval=365, **given):
    site = make.site(code=code)
    if interval:
        make.agreement(site, drill_interval_days=interval)
    mesh = make.mesh(site=site, **given)
    if days_ago is not None:
        make.drill(mesh, done_at=make.NOW - days_ago * DAY)
    return mesh


def stands():
    return [(entry.mesh.site.code, entry.standing.state.value) for entry in roster_of(make.NOW).entries]


def test_the_worst_come_first():
    home("GOOD-1", 10)
    home("DUE-1", 350)
    home("LATE-1", 400)
    home("LATE-2", 500)
    home("GUARD-1", 200, safety_relevant=True)
    home("NEVER-1")
    make.drill(home("FAIL-1", 20), done_at=make.NOW - DAY, result="failed")

    assert stands() == [
        ("FAIL-1", "failed"),
        ("GUARD-1", "overdue"),  # six months, whatever the agreement says
        ("LATE-2", "overdue"),
        ("LATE-1", "overdue"),
        ("NEVER-1", "never"),
        ("DUE-1", "due"),
        ("GOOD-1", "current"),
    ]


def test_readiness_goes_by_the_same_interval():
    mesh = home("GUARD-1", 200, safety_relevant=True)
    facts = judged(mesh, SpareShelf.load(), make.NOW).facts
    assert facts.drill.state.value == "overdue"


@pytest.mark.parametrize(
    ("guards", "days", "state"),
    [(False, 365, "current"), (True, 182, "overdue")],
    ids=["twelve-months", "safety-six-months"],
)
def test_without_an_agreement_the_usual_interval_is_taken(guards, days, state):
    home("BENCH-0", 200, interval=None, safety_relevant=guards)
    (entry,) = roster_of(make.NOW).entries
    assert (entry.days, entry.agreed_days, entry.standing.state.value) == (days, None, state)


def test_an_agreement_that_allows_too_long_is_said():
    home("GUARD-1", 10, safety_relevant=True)
    assert roster_of(make.NOW).entries[0].agreed_too_long


def test_a_home_is_in_time_when_all_its_meshes_are():
    first = home("FERN-2", 10)
    home("KELP-7", 10)
    assert (roster_of(make.NOW).homes_in_time, roster_of(make.NOW).homes) == (2, 2)

    make.mesh(site=first.site)
    assert (roster_of(make.NOW).homes_in_time, roster_of(make.NOW).homes) == (1, 2)


def test_chosen_drills_allow_no_claim_and_drawn_ones_do():
    drawn, chosen = home("KELP-7", 10), home("SALT-9", 10)
    make.drill_draw(drawn)
    make.drill(chosen)

    claim = roster_of(make.NOW).claim
    assert (claim.counted, claim.failed, round(claim.upper, 2)) == (1, 0, 0.95)  # C16: 1 - 0.05^(1/1)


def test_a_spare_is_to_be_wiped_until_it_is_proven_blank():
    mesh, spare = home("KELP-7"), make.spare(blank_proven_at=None)
    written = {"written_at": make.NOW, "range_first": 1, "range_last": 2, "range_until": make.NOW + DAY}
    bench = {"kind": "bench", "radio": spare, "setup": "shielded", "nothing_radiates": True, **written}
    row = make.rehearsal(mesh, **bench)
    assert roster_of(make.NOW).to_wipe == (row,)

    spare.blank_proven_at = make.NOW + timedelta(hours=1)
    spare.save()
    assert roster_of(make.NOW).to_wipe == ()


def test_what_is_under_way_is_listed():
    row = make.rehearsal(home("KELP-7"))
    assert roster_of(make.NOW).under_way == (row,)


@pytest.mark.parametrize("homes", [1, 5])
def test_the_roster_takes_as_many_statements_for_many_homes(homes, django_assert_num_queries):
    for number in range(homes):
        make.drill_draw(home(f"HOME-{number}", 10), month=make.NOW.date().replace(year=2020 + number, day=1))
    with django_assert_num_queries(11):
        roster_of(make.NOW)


# Minutes


def timed(minutes, step="write", **given):
    bench = {"kind": "bench", "setup": "shielded", "nothing_radiates": True, "radio": make.spare()}
    row = make.rehearsal(make.mesh(), **{**bench, "ended_at": make.NOW, "end": "passed", **given})
    RehearsalStep.objects.create(
        rehearsal=row,
        step=step,
        began_at=make.NOW,
        ended_at=make.NOW + timedelta(minutes=minutes),
        is_cut_short=given.get("end") == "failed",
    )


def test_five_timed_drills_take_the_place_of_what_is_usual():
    for minutes in (4, 5, 6, 7, 9):
        timed(minutes)
    found = recorded_minutes()
    assert (found.work.write, dict(found.drills)) == (ThreePoints(4, 6, 9), {"write": 5})


@pytest.mark.parametrize(
    "given",
    [{"end": "aborted"}, {"end": "failed"}, {"kind": "paper"}],
    ids=["aborted", "cut-short", "paper"],
)
def test_minutes_that_measure_nothing_do_not_count(given):
    for _ in range(5):
        timed(40, **given)
    assert recorded_minutes().work == RestoreWork()


def test_the_estimate_of_a_home_takes_them():
    mesh = covered_mesh()
    before = judged(mesh, SpareShelf.load(), make.NOW).facts.spares[0].restore_minutes
    for _ in range(5):
        timed(25)

    after = judged(mesh, SpareShelf.load(), make.NOW).facts.spares[0].restore_minutes
    assert after.likely == before.likely + 20  # five minutes of writing are usual
