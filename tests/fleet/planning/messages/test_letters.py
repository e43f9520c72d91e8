"""Letters in the catalogue's own words, which are English."""

import gettext
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.planning.messages import letters
from fleet.planning.messages.causes import by_cause
from fleet.planning.messages.columns import width
from fleet.planning.messages.letters import LastRound, Letter
from fleet.planning.messages.pen import COLUMNS, Desk
from fleet.planning.messages.standing import Standing
from fleet.planning.messages.telling import morning_list
from fleet.planning.readiness import GateName, State
from tests.fleet.planning.messages.standings import NOW, UTC_ZONE, bare, stale, standing

ENGLISH = gettext.NullTranslations()
LAST = LastRound(NOW - timedelta(minutes=50), doubtful=False)
DESK = Desk(UTC_ZONE)


def morning(*meshes: Standing, last: LastRound = LAST, desk: Desk = DESK) -> Letter:
    return letters.morning(morning_list(meshes, desk.zone, NOW), last, NOW, desk, ENGLISH)


def urgent(*meshes: Standing, desk: Desk = DESK) -> Letter:
    return letters.urgent(by_cause(meshes), NOW, desk, ENGLISH)


def test_the_subject_answers_how_many_homes_could_not_be_brought_back():
    assert (
        morning(bare(1), bare(2), stale(3)).subject == "Sparebook: 2 homes could not be brought back today."
    )


def test_all_is_well_is_told_too():
    assert morning(standing()).body.startswith("Every home could be brought back today.\n")


def test_a_book_without_a_home_does_not_say_that_all_is_well():
    assert "Every home" not in morning().body


def test_unknown_is_never_called_covered():
    body = morning(standing(1, state=State.UNKNOWN, gate=GateName.BASICS), standing(2)).body

    assert body.startswith(
        "For 1 home nobody can say whether it could be brought back.\n1 home is covered.\n"
    )


def test_thirty_homes_stale_by_one_cause_are_one_heading_and_thirty_lines():
    body = morning(*(stale(n) for n in range(1, 31))).body

    assert body.count("The newest sound snapshot is too old: 30 homes") == 1
    assert sum(line.startswith("  HOME-") for line in body.splitlines()) == 30


def test_a_moment_is_on_the_homes_clock_with_the_readers_beside_it():
    taken = NOW.replace(day=17, hour=20)
    home = stale(zone="Pacific/Chatham", newest_sound_at=taken, safety=True)

    assert "2027-03-18 09:45 Chatham (2027-03-17 20:00 UTC)" in morning(home).body


def test_one_clock_is_written_once():
    body = morning(stale(zone="Europe/Oslo"), desk=Desk(ZoneInfo("Europe/Oslo"))).body

    assert "2027-03-17 10:00 Oslo\n" in body


def test_homes_where_it_is_night_are_announced_and_not_listed():
    body = morning(stale(1, zone="Pacific/Chatham"), stale(2)).body

    assert "It is night at 1 more home; its line follows today" in body
    assert "HOME-1-A" not in body


def test_a_list_from_an_old_round_says_that_it_is_doubtful():
    body = morning(standing(), last=LastRound(NOW - timedelta(hours=9), doubtful=True)).body

    assert "may be out of date" in " ".join(body.split())


def test_an_urgent_message_says_what_hangs_on_it_and_how_late_it_is_there():
    letter = urgent(bare(safety=True, kinds=("lock", "smoke")))

    assert letter.subject == "Urgent: 1 home with locks, heating or alarms could not be brought back."
    assert "town house; it is 10:00 there; locks, smoke alarms" in letter.body


def test_an_urgent_message_tells_to_care_for_people_first():
    assert "agree with the people in the house how to do without" in " ".join(
        urgent(bare(safety=True)).body.split()
    )


def test_the_address_of_the_book_ends_every_letter():
    desk = Desk(UTC_ZONE, address="https://book.example/")

    assert morning(bare(), desk=desk).body.endswith("\nhttps://book.example/\n")


def test_stopped_rounds_are_told_in_hours():
    last = LastRound(NOW - timedelta(hours=27), doubtful=True)

    assert (
        letters.rounds_stopped(last, NOW, DESK, ENGLISH).subject == "Urgent: No round has ended for 27 hours."
    )


def test_a_name_in_another_script_keeps_its_own_direction():
    body = morning(bare(place="بيت على التل")).body

    assert "\u2068بيت على التل\u2069" in body


def test_from_right_to_left_each_line_begins_so():
    body = morning(bare(), desk=Desk(UTC_ZONE, right_to_left=True)).body

    assert all(line.startswith("\u200f") for line in body.splitlines() if line)


@pytest.mark.parametrize("gate", list(GateName))
@pytest.mark.parametrize("state", [State.BARE, State.UNKNOWN, State.THIN])
def test_every_gate_has_a_reason_and_an_act(state, gate):
    body = morning(standing(state=state, gate=gate)).body

    assert "What helps: Run a round." not in body
    assert "What helps: " in body


def test_a_mesh_that_no_round_has_judged_asks_for_one():
    body = morning(standing(state=State.UNKNOWN, gate=None)).body

    assert "No round has judged it yet: 1 home\nWhat helps: Run a round." in body


def test_no_line_is_wider_than_76_columns():
    home = bare(
        place="a house with a name that is long, and then some more of it, up to the very end of it",
        safety=True,
    )

    body = urgent(standing(9, stranded=True, safety=True), home).body + morning(home, stale()).body

    assert max(width(line) for line in body.splitlines()) <= COLUMNS


def test_more_than_a_hundred_homes_of_one_cause_are_counted():
    assert "and 20 more" in morning(*(stale(n) for n in range(1, 121))).body


def test_an_urgent_message_leaves_no_home_out():
    body = urgent(*(bare(n, safety=True) for n in range(1, 121))).body

    assert sum(line.startswith("  HOME-") for line in body.splitlines()) == 120
