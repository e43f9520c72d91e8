"""The feed, read back by two parsers that share no code with it."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.visits.feed import Event, carried_on, events_of, feed
from fleet.planning.visits.solving import make_plan
from fleet.planning.visits.span import VisitError
from tests.fleet.planning.visits.worlds import at, budget, random_request

STAMP = datetime(2027, 3, 26, 8, tzinfo=UTC)
# Each the hours around a change of the clock there in 2027.
CHANGES = {
    "Europe/Oslo": "2027-03-28 00:30",
    "Pacific/Chatham": "2027-04-04 01:45",
    "America/St_Johns": "2027-11-07 00:30",
    "Asia/Kathmandu": "2027-03-28 00:30",
}
ACROSS = [
    pytest.param(
        at(local, ZoneInfo(zone)).astimezone(UTC) + timedelta(minutes=30 * step),
        ZoneInfo(zone),
        id=f"{zone}-{step}",
    )
    for zone, local in CHANGES.items()
    for step in range(8)
]


def event(uid="visit-1@hollin.example", **changes):
    usual = Event(
        uid,
        0,
        "KELP-7",
        ("swap", "drill"),
        datetime(2027, 3, 29, 7, tzinfo=UTC),
        datetime(2027, 3, 29, 8, 30, tzinfo=UTC),
        ZoneInfo("Europe/Oslo"),
    )
    return replace(usual, **changes)


def text(*events):
    return feed("Noor", "-//Sparebook//Plan//EN", events or [event()], STAMP)


def read(written):
    return list(icalendar.Calendar.from_ical(written).walk("VEVENT"))


@pytest.mark.parametrize(("begin", "zone"), ACROSS)
def test_times_across_clock_changes_are_right_to_the_minute(begin, zone):
    written = text(event(begin=begin, end=begin + timedelta(minutes=95), zone=zone))
    (one,) = read(written)
    two = vobject.readOne(written).vevent
    assert (one["DTSTART"].dt, one["DTEND"].dt) == (begin, begin + timedelta(minutes=95))
    assert (two.dtstart.value, two.dtend.value) == (begin, begin + timedelta(minutes=95))


@pytest.mark.parametrize(("begin", "zone"), ACROSS)
def test_the_description_shows_the_clock_at_the_home(begin, zone):
    (one,) = read(text(event(begin=begin, end=begin + timedelta(hours=1), zone=zone)))
    assert str(one["DESCRIPTION"]) == f"{begin.astimezone(zone):%Y-%m-%d %H:%M} at the home ({zone.key})."


def test_an_event_says_the_home_and_the_work():
    (one,) = read(text())
    assert (str(one["SUMMARY"]), str(one["STATUS"]), int(one["SEQUENCE"])) == (
        "KELP-7 swap, drill",
        "CONFIRMED",
        0,
    )


def test_the_second_person_is_named():
    (one,) = read(text(event(with_whom="PEKKA")))
    assert "Together with PEKKA" in str(one["DESCRIPTION"])


def test_an_event_has_no_place_for_an_address_or_a_code():
    names = {line.split(":")[0].split(";")[0] for line in text().splitlines()}
    assert not names & {"LOCATION", "GEO", "ATTENDEE", "ORGANIZER", "URL", "ATTACH", "CONTACT"}


@given(words=st.lists(st.text(max_size=120), max_size=3))
def test_any_words_come_back_and_lines_stay_short(words):
    written = text(event(work=tuple(words)))
    assert all(len(line.encode()) <= 75 for line in written.split("\r\n"))
    assert written.count("BEGIN:VEVENT") == written.count("END:VEVENT") == 1
    (one,) = read(written)
    clean = "".join(letter for letter in ", ".join(words) if letter.isprintable() or letter == "\n")
    assert str(one["SUMMARY"]).strip() == f"KELP-7 {clean}".strip()


def test_lines_end_as_the_standard_asks():
    assert "\n" not in text().replace("\r\n", "")


def test_what_stays_the_same_keeps_its_sequence():
    assert carried_on([event(sequence=3)], [event()]) == [event(sequence=3)]


def test_what_changes_gets_the_next_sequence():
    later = event(end=event().end + timedelta(minutes=5))
    assert carried_on([event(sequence=3)], [later]) == [replace(later, sequence=4)]


def test_what_is_gone_is_cancelled_once():
    (gone,) = carried_on([event(sequence=3)], [])
    assert (gone.cancelled, gone.sequence) == (True, 4)
    assert carried_on([gone], []) == [gone]


def test_what_comes_back_is_told_anew():
    gone = event(sequence=4, cancelled=True)
    assert carried_on([gone], [event()]) == [event(sequence=5)]


def test_a_new_event_begins_at_nought():
    assert carried_on([], [event()]) == [event()]


def test_an_event_that_ends_before_it_begins_is_refused():
    with pytest.raises(VisitError, match="must end after"):
        event(end=event().begin)


def test_a_plan_comes_back_from_the_feed_stop_by_stop():
    world = random_request(4, days=3, people=3, visits=20)
    plan = make_plan(world, budget(40))
    assert plan.stops
    for person in world.technicians:
        events = events_of(world, plan, person.code, "hollin.example")
        found = {
            str(one["UID"]): (one["DTSTART"].dt, one["DTEND"].dt)
            for one in read(feed("N", "P", events, STAMP))
        }
        assert found == {
            f"{stop.visit}.{person.code}@hollin.example": (stop.begin, stop.end)
            for day, stop in plan.stops
            if day.technician == person.code
        }


def test_a_visit_that_goes_to_another_is_cancelled_with_the_first():
    world = random_request(4, days=3, people=3, visits=20)
    plan = make_plan(world, budget(40))
    code = plan.days[0].technician
    before = events_of(world, plan, code, "hollin.example")
    without = replace(plan, days=tuple(day for day in plan.days if day.technician != code))
    after = carried_on(before, events_of(world, without, code, "hollin.example"))
    assert [(one.uid, one.cancelled, one.sequence) for one in after] == [(one.uid, True, 1) for one in before]
