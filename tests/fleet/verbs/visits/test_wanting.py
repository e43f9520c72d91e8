"""Wanting visits: joined work, terms, pins, waivers, and the end."""

from datetime import date, timedelta

import pytest
from django.db import IntegrityError, transaction

from fleet.models import Visit, VisitState
from fleet.planning.estimating import ThreePoints
from fleet.planning.visits.request import Rule
from fleet.queries.visits.due import due_visits
from fleet.verbs.visits import wanting
from fleet.verbs.visits.refusing import VisitRefused
from fleet.verbs.visits.wanting import Terms
from tests import make
from tests.fleet.verbs.visits.days import TUESDAY, at

pytestmark = pytest.mark.django_db

AN_HOUR = ThreePoints(50, 60, 90)


def due_mesh(home=None):
    """A mesh whose last drill is too old."""
    home = home or make.site()
    if not home.agreements.exists():
        make.agreement(home)
    mesh = make.mesh(site=home)
    make.drill(mesh, done_at=make.NOW - timedelta(days=400))
    return mesh


def test_what_is_due_in_one_home_is_one_visit():
    home = make.site(code="KELP-7")
    due_mesh(home)
    swapped = due_mesh(home)
    make.replacement(swapped, why="upgrade")
    (visit,) = wanting.want_due(["drill:KELP-7-A", "swap:KELP-7-B"], "Orla", make.NOW)
    assert [task.kind for task in visit.tasks.all()] == ["drill", "swap"]
    assert visit.not_before_weekend
    assert due_visits(make.NOW) == []


def test_two_who_want_the_same_work_get_one_visit():
    due_mesh(make.site(code="KELP-7"))
    (visit,) = wanting.want_due(["drill:KELP-7-A"], "Orla", make.NOW)
    with pytest.raises(VisitRefused, match="drill:KELP-7-A is not due, or a visit for it is wanted already"):
        wanting.want_due(["drill:KELP-7-A"], "Tomasz", make.NOW)
    with pytest.raises(IntegrityError), transaction.atomic():
        visit.tasks.create(kind="drill", mesh=visit.tasks.get().mesh)


def test_work_in_ones_own_words_wants_its_minutes():
    home = make.site(code="KELP-7")
    with pytest.raises(VisitRefused, match="minutes: nothing estimates"):
        wanting.want(home, "look at the lamp", Terms(), "Orla", make.NOW)
    visit = wanting.want(home, "look at the lamp", Terms(minutes=AN_HOUR), "Orla", make.NOW)
    assert (visit.minutes_likely, visit.minutes_by_hand, visit.tasks.get().words) == (
        60,
        True,
        "look at the lamp",
    )


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"people": 3}, "people: a visit takes 1 or 2"),
        ({"value": 101}, "value: "),
        ({"parts": {"P": 0}}, "parts: 0 of P; write 1 to 50"),
        ({"minutes": ThreePoints(0, 0, 10)}, "minutes: write them from 1 to 660"),
        ({"windows": ((at(TUESDAY, 12), at(TUESDAY, 9)),)}, "ends before it begins"),
    ],
    ids=["people", "value", "parts", "minutes", "windows"],
)
def test_terms_that_cannot_be_are_refused_and_nothing_is_written(given, said):
    with pytest.raises(VisitRefused, match=said):
        wanting.want(
            make.site(), "look at the lamp", Terms(**{"minutes": AN_HOUR, **given}), "Orla", make.NOW
        )
    assert not Visit.objects.exists()


def test_a_key_is_no_word():
    with pytest.raises(VisitRefused, match="words: this looks like a code or a key"):
        wanting.want(make.site(), "38 56 D9 " * 8, Terms(minutes=AN_HOUR), "Orla", make.NOW)


def test_a_visit_is_pinned_and_freed():
    visit, noor = make.visit(), make.driver("noor")
    pinned = wanting.pin(visit, noor, at(TUESDAY, 10), "Orla", make.NOW)
    assert (pinned.pinned_to, pinned.pinned_at) == (noor, at(TUESDAY, 10))
    assert wanting.pin(visit, None, None, "Orla", make.NOW).pinned_to is None
    with pytest.raises(VisitRefused, match="has passed"):
        wanting.pin(visit, None, make.NOW, "Orla", make.NOW)


def test_only_rules_of_the_home_are_waived_and_by_a_name():
    visit = make.visit()
    with pytest.raises(VisitRefused, match="rule: licence cannot be waived"):
        wanting.waive(visit, Rule.LICENCE, "Orla", "because", "Orla", make.NOW)
    with pytest.raises(VisitRefused, match="name: nothing was written"):
        wanting.waive(visit, Rule.FROST, " ", "because", "Orla", make.NOW)
    wanting.waive(visit, Rule.FROST, "Orla Hentsch", "stoves", "Tomasz", make.NOW)
    wanting.hold_again(visit, Rule.FROST, "Tomasz", make.NOW)
    assert not visit.waivers.exists()


def test_a_visit_that_ended_is_changed_no_more_and_its_work_is_free():
    due_mesh(make.site(code="KELP-7"))
    (visit,) = wanting.want_due(["drill:KELP-7-A"], "Orla", make.NOW)
    with pytest.raises(VisitRefused, match="because: nothing was written"):
        wanting.end(visit, VisitState.DROPPED, "", "Orla", make.NOW)
    wanting.end(visit, VisitState.DROPPED, "the client is away", "Orla", make.NOW)
    assert [trip.keys for trip in due_visits(make.NOW)] == ["drill:KELP-7-A"]
    with pytest.raises(VisitRefused, match="is dropped already"):
        wanting.pin(visit, None, None, "Orla", make.NOW)


def test_a_change_takes_the_estimate_anew():
    home = make.site(code="KELP-7")
    mesh = make.mesh(site=home)
    make.service(mesh)
    make.replacement(mesh, why="upgrade")
    (visit,) = wanting.want_due(["swap:KELP-7-A"], "Orla", make.NOW)
    for _ in range(10):
        make.node(mesh, wake="press the button")
    wanting.change(visit, Terms(), "Orla", make.NOW)
    before = visit.minutes_likely
    visit.refresh_from_db()
    # Ten more to verify (half a minute each) and a walk of 0.5 n + 2 n_button: trade rule C15.
    assert visit.minutes_likely == before + 5 + 5 + 20


def test_a_forecast_is_one_a_home_and_day():
    home = make.site()
    wanting.foretell(home, date(2027, 3, 30), -3, "Orla", make.NOW)
    wanting.foretell(home, date(2027, 3, 30), 2, "Orla", make.NOW)
    assert home.forecasts.get().lowest_c == 2
    with pytest.raises(VisitRefused, match="lowest_c: "):
        wanting.foretell(home, date(2027, 3, 30), 90, "Orla", make.NOW)
