import tracemalloc
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.keeping import Copy, CopyTimeError, KeepRule, KeepRuleError, keep

ONE_DAY = KeepRule(days=1, weeks=0, months=0, years=0)
TWO_DAYS = KeepRule(days=2, weeks=0, months=0, years=0)
NO_TIERS = KeepRule(days=0, weeks=0, months=0, years=0)
GREENWICH = ZoneInfo("UTC")
NOON = datetime(2027, 3, 26, 12, tzinfo=UTC)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def test_the_latest_copy_of_a_day_stands_for_it():
    copies = [Copy("late", NOON), Copy("early", NOON - timedelta(hours=9))]
    assert list(keep(copies, ONE_DAY, GREENWICH)) == ["late"]


def test_a_newer_unsound_copy_does_not_displace_a_sound_one_of_its_day():
    copies = [Copy("broken", NOON, sound=False), Copy("sound", NOON - timedelta(hours=9))]
    assert keep(copies, ONE_DAY, GREENWICH) == {"sound": ("day 2027-03-26", "last sound")}


def test_the_latest_of_a_day_without_a_sound_copy_stands_for_it():
    copies = [Copy("late", NOON, sound=False), Copy("early", NOON - timedelta(hours=9), sound=False)]
    assert keep(copies, ONE_DAY, GREENWICH) == {"late": ("day 2027-03-26",)}


def test_days_without_a_copy_do_not_count():
    copies = [Copy("now", NOON), Copy("half a year ago", NOON - timedelta(days=180))]
    assert list(keep(copies, TWO_DAYS, GREENWICH)) == ["now", "half a year ago"]


def test_the_last_sound_copy_outlives_any_number_of_unsound_ones():
    broken = [Copy(n, NOON - timedelta(days=n), sound=False) for n in range(4000)]
    copies = [*broken, Copy("sound", NOON - timedelta(days=4000))]
    assert keep(copies, KeepRule(), GREENWICH)["sound"] == ("last sound",)


def test_the_last_sound_copy_stays_where_no_tier_is_asked_for():
    copies = [Copy("new", NOON), Copy("old", NOON - timedelta(days=1))]
    assert keep(copies, NO_TIERS, GREENWICH) == {"new": ("last sound",)}


def test_the_last_of_each_grade_is_pinned():
    copies = [
        Copy("sound", NOON),
        Copy("seen", NOON - timedelta(days=1), seen_live=True),
        Copy("seen before", NOON - timedelta(days=2), seen_live=True),
        Copy("proven", NOON - timedelta(days=3), seen_live=True, proven=True),
        Copy("proven before", NOON - timedelta(days=4), proven=True),
    ]
    assert keep(copies, NO_TIERS, GREENWICH) == {
        "sound": ("last sound",),
        "seen": ("last seen live",),
        "proven": ("last proven",),
    }


def test_holds_that_others_set_are_named():
    held = Copy("old", NOON - timedelta(days=900), holds=("before swap R-12", "legal hold"))
    kept = keep([Copy("new", NOON), held], ONE_DAY, GREENWICH)
    assert kept["old"] == ("before swap R-12", "legal hold")


def test_the_latest_sound_copy_of_each_key_epoch_is_pinned():
    copies = [
        Copy("b broken", NOON, sound=False, key_epoch="b"),
        Copy("b sound", NOON - timedelta(days=1), key_epoch="b"),
        Copy("a new", NOON - timedelta(days=2), key_epoch="a"),
        Copy("a old", NOON - timedelta(days=3), key_epoch="a"),
        Copy("rotated everywhere", NOON - timedelta(days=4)),
    ]
    assert keep(copies, NO_TIERS, GREENWICH) == {
        "b sound": ("last sound", "key epoch b"),
        "a new": ("key epoch a",),
    }


def test_a_copy_belongs_to_the_day_at_the_home():
    # 10:14 and 10:15 UTC are 23:59 and 00:00 in Chatham's summer, UTC +13:45.
    copies = [Copy("today", at("2027-01-10T10:15")), Copy("yesterday", at("2027-01-10T10:14"))]
    kept = keep(copies, TWO_DAYS, ZoneInfo("Pacific/Chatham"))
    assert kept["today"][0] == "day 2027-01-11"
    assert kept["yesterday"] == ("day 2027-01-10",)


def test_kathmandus_day_turns_at_a_quarter_past_six_in_the_evening_utc():
    copies = [Copy("today", at("2027-03-19T18:15")), Copy("yesterday", at("2027-03-19T18:14:59"))]
    kept = keep(copies, TWO_DAYS, ZoneInfo("Asia/Kathmandu"))
    assert kept["today"][0] == "day 2027-03-20"
    assert kept["yesterday"] == ("day 2027-03-19",)


def test_a_day_of_25_hours_is_one_day():
    # Oslo, 2026-10-25: from 22:00 UTC the evening before until 23:00 UTC.
    copies = [
        Copy("next", at("2026-10-25T23:00")),
        Copy("last hour", at("2026-10-25T22:59")),
        Copy("first hour", at("2026-10-24T22:00")),
        Copy("before", at("2026-10-24T21:59")),
    ]
    kept = keep(copies, KeepRule(days=3, weeks=0, months=0, years=0), ZoneInfo("Europe/Oslo"))
    assert list(kept) == ["next", "last hour", "before"]


def test_a_day_of_23_hours_is_one_day():
    # Oslo, 2027-03-28: from 23:00 UTC the evening before until 22:00 UTC.
    copies = [
        Copy("next", at("2027-03-28T22:00")),
        Copy("last hour", at("2027-03-28T21:59")),
        Copy("first hour", at("2027-03-27T23:00")),
        Copy("before", at("2027-03-27T22:59")),
    ]
    kept = keep(copies, KeepRule(days=3, weeks=0, months=0, years=0), ZoneInfo("Europe/Oslo"))
    assert list(kept) == ["next", "last hour", "before"]


def test_a_clock_set_back_over_midnight_gives_two_days_not_four():
    # St John's, 2010-11-07: at 00:01 summer time the clock went back to 23:01 of the day before.
    copies = [
        Copy("Sunday again", at("2010-11-07T04:00")),
        Copy("Saturday again", at("2010-11-07T03:00")),
        Copy("Sunday first", at("2010-11-07T02:30:30")),
        Copy("Saturday first", at("2010-11-07T02:00")),
    ]
    kept = keep(copies, KeepRule(weeks=0, months=0, years=0), ZoneInfo("America/St_Johns"))
    assert list(kept) == ["Sunday again", "Saturday again"]


def test_the_last_day_is_the_later_date_even_where_its_copy_is_the_older():
    # The same night in St John's: 23:30 on Saturday for the second time is after 00:00:30 on Sunday.
    copies = [Copy("Saturday again", at("2010-11-07T03:00")), Copy("Sunday", at("2010-11-07T02:30:30"))]
    assert keep(copies, ONE_DAY, ZoneInfo("America/St_Johns")) == {
        "Saturday again": ("last sound",),
        "Sunday": ("day 2010-11-07",),
    }


def test_times_in_other_offsets_are_the_same_instants():
    tokyo = NOON.astimezone(timezone(timedelta(hours=9)))
    copies = [Copy("a", tokyo), Copy("b", NOON - timedelta(minutes=1))]
    assert list(keep(copies, ONE_DAY, GREENWICH)) == ["a"]


def test_of_two_copies_of_one_instant_the_first_given_stays():
    assert list(keep([Copy("first", NOON), Copy("second", NOON)], ONE_DAY, GREENWICH)) == ["first"]


def test_no_copies_keep_nothing():
    assert keep([], KeepRule(), GREENWICH) == {}


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(CopyTimeError, match="Copy 7 has a time without a zone"):
        keep([Copy(7, NOON.replace(tzinfo=None))], KeepRule(), GREENWICH)


def test_copies_in_the_wrong_order_are_refused():
    copies = [Copy(1, NOON - timedelta(days=1)), Copy(2, NOON)]
    with pytest.raises(CopyTimeError, match="Copy 2 of 2027-03-26 12:00 is newer"):
        keep(copies, KeepRule(), GREENWICH)


@pytest.mark.parametrize("field", ["days", "weeks", "months", "years", "grace_days"])
@pytest.mark.parametrize("value", [-1, 10_000])
def test_a_number_that_cannot_be_is_refused_by_name(field, value):
    with pytest.raises(KeepRuleError, match=f"{field} is {value}; it must be from 0 to 9999"):
        KeepRule(**{field: value})


def test_a_rule_says_what_it_keeps():
    assert KeepRule().in_words() == "14 days, 8 ISO weeks, 12 months, 5 years; erased 7 days after marking"


def test_one_of_a_kind_is_said_in_the_singular():
    assert (
        KeepRule(1, 1, 1, 1, 1).in_words() == "1 day, 1 ISO week, 1 month, 1 year; erased 1 day after marking"
    )


def test_a_long_history_is_read_once_and_not_held_in_memory():
    def history() -> Iterator[Copy[int]]:
        for n in range(100_000):
            yield Copy(n, NOON - timedelta(minutes=10 * n), key_epoch="a")

    keep(history(), KeepRule(), GREENWICH)  # fills the calendar, which is kept for the next mesh
    tracemalloc.start()
    keep(history(), KeepRule(), GREENWICH)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 200_000  # octets; the copies together are over 20,000,000


ZONES = ["UTC", "Pacific/Chatham", "America/St_Johns", "Europe/Oslo"]
RULES = st.builds(
    KeepRule, st.integers(0, 4), st.integers(0, 3), st.integers(0, 3), st.integers(0, 2), st.just(7)
)
HISTORIES = st.lists(
    st.builds(
        lambda minutes, sound, seen, epoch, holds: (
            NOON - timedelta(days=6000) + timedelta(minutes=minutes),
            sound,
            sound and seen,
            False,
            epoch,
            holds,
        ),
        st.integers(0, 1_000_000),
        st.booleans(),
        st.booleans(),
        st.sampled_from([None, "a", "b"]),
        st.sampled_from([(), (), (), ("legal hold",)]),
    ),
    max_size=60,
    unique_by=lambda row: row[0],
)


def newest_first(rows: list[tuple]) -> list[Copy[datetime]]:
    return sorted((Copy(row[0], *row) for row in rows), key=lambda copy: copy.taken_at, reverse=True)


@given(HISTORIES, RULES, st.sampled_from(ZONES), st.integers(0, 60))
def test_thinning_first_and_adding_later_keeps_the_same_for_the_same_reasons(rows, rule, name, cut):
    zone, copies = ZoneInfo(name), newest_first(rows)
    early = newest_first(rows[:cut])
    kept_early = keep(early, rule, zone)
    late = {row[0] for row in rows[cut:]}
    left = [copy for copy in copies if copy.key in kept_early or copy.key in late]
    assert keep(left, rule, zone) == keep(copies, rule, zone)


@given(HISTORIES, RULES, st.sampled_from(ZONES))
def test_the_newest_sound_copy_is_always_kept(rows, rule, name):
    copies = newest_first(rows)
    sound = [copy.key for copy in copies if copy.sound][:1]
    assert set(sound) <= set(keep(copies, rule, ZoneInfo(name)))


@given(HISTORIES, RULES, st.sampled_from(ZONES))
def test_every_kept_copy_has_a_reason_and_no_reason_twice(rows, rule, name):
    reasons = keep(newest_first(rows), rule, ZoneInfo(name)).values()
    assert all(found and len(set(found)) == len(found) for found in reasons)
