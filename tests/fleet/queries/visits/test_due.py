"""What is due at homes, joined into trips (trade row P10)."""

from datetime import timedelta

import pytest

from fleet.models import FirmwarePolicy, Visit
from fleet.planning.replacing.states import State
from fleet.planning.visits.checking import breaches
from fleet.queries.visits.answers import plan_of
from fleet.queries.visits.asked import asked_of
from fleet.queries.visits.due import due_visits, due_work
from fleet.verbs.visits import solving, wanting
from tests import make
from tests.fleet.verbs.visits.days import TUESDAY, asked

pytestmark = pytest.mark.django_db


def home_with(*work: str, drilled_days: int = 400, **given):
    """A home with a mesh for each of these: swap, drill or update."""
    home = make.site(**given)
    make.agreement(home)
    for kind in work:
        mesh = make.mesh(site=home)
        release = make.release(policy=FirmwarePolicy.BARRED if kind == "update" else FirmwarePolicy.ALLOWED)
        make.release(release.model)
        head = make.radio(firmware=release, state="on_air", carried_address=mesh.head_address)
        make.service(mesh, head)
        old = kind == "drill"
        make.drill(mesh, done_at=make.NOW - timedelta(days=drilled_days if old else 10))
        if kind == "swap":
            make.replacement(mesh, why="upgrade", new_radio=make.spare(place=home_place(home)))
    return home


def home_place(home):
    return getattr(home, "place", None) or make.place_at(home)


def keys():
    return sorted(work.key.partition(":")[0] for work in due_work(make.NOW))


def test_each_kind_of_work_is_found_and_says_why():
    home_with("swap", "drill", "update")
    because = {work.kind.value: work.because for work in due_work(make.NOW)}
    assert because["swap"] == "A replacement is asked."
    assert because["drill"].startswith("The last drill was 400 days ago")
    assert "which the firm bars" in because["update"]


def test_a_head_whose_ring_is_open_is_due_for_its_update():
    home = home_with("nothing")
    mesh = home.meshes.get()
    passage = make.passage(mesh.periods.get().radio)
    (work,) = due_work(make.NOW)
    assert work.key == f"update:{mesh.code}"
    assert work.because.endswith(f"to {passage.target.version}.")


def test_what_is_in_order_is_not_due():
    home_with("nothing")
    assert due_visits(make.NOW) == []


def test_a_mesh_under_a_swap_is_not_drilled_or_updated_besides():
    home = home_with("drill", "update")
    for mesh in home.meshes.all():
        make.replacement(mesh, state=State.SILENCED.value)
    assert keys() == []


def test_a_failed_radio_is_due_by_the_promised_time():
    home = home_with()
    home.agreements.update(recovery_time_minutes=240)
    mesh = make.mesh(site=home)
    swap = make.replacement(mesh, why="failed")
    make.drill(mesh)
    (trip,) = due_visits(make.NOW)
    assert trip.due_at == swap.asked_at + timedelta(hours=4)
    assert trip.value == 100


def test_thirty_due_tasks_in_twelve_homes_are_at_most_fourteen_trips_and_none_is_late():
    """Trade row P10: the bracketed values, from rows to a plan in which each trip has its day."""
    kinds = ["swap", "drill", "update"]
    for number in range(12):
        count = 3 if number < 6 else 2
        place = {"latitude": f"68.{15 + number}000", "longitude": "14.20000"}
        home_with(*(kinds[(number + more) % 3] for more in range(count)), drilled_days=352, **place)
    due = due_work(make.NOW)
    assert len(due) == 30
    assert len(due_visits(make.NOW)) <= 14
    made = wanting.want_due([work.key for work in due], "Orla", make.NOW)
    assert len(made) == Visit.objects.count() <= 14
    people = [make.driver(name) for name in ("noor", "pekka", "kwabena")]
    # The day before the drills are due.
    plan = asked(*people, last=TUESDAY.replace(month=4, day=7), seconds=3)
    assert solving.solve(plan.pk, lambda: make.NOW, rounds=60) == "done"
    plan.refresh_from_db()
    answer = plan_of(plan)
    assert answer.left_out == ()
    assert answer.late_minutes == 0
    assert breaches(asked_of(plan).request, answer) == []


def test_the_list_takes_the_same_statements_for_many_homes(django_assert_max_num_queries):
    home_with("swap", "drill", "update")
    for _ in range(3):
        home_with("swap", "drill")
    with django_assert_max_num_queries(13):
        due_visits(make.NOW)
