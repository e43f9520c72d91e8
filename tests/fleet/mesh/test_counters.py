from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from fleet.mesh.counters import (
    UNKNOWN_RATE,
    CounterError,
    Evidence,
    EvidenceKind,
    Verdict,
    added_per_day,
    frames_in,
    number_to_write,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
SNAPSHOT = Evidence(1_463_120, NOW - 30 * DAY, EvidenceKind.SNAPSHOT)
RESTORED = Evidence(17_080_656, NOW, EvidenceKind.RESTORE)


# The number to write


def test_a_snapshot_of_30_days_at_3_a_second_starts_at_17_080_656() -> None:
    start = number_to_write([SNAPSHOT], NOW, 3.0)

    assert (start.value, start.verdict) == (17_080_656, Verdict.OK)


def test_a_second_restore_of_the_same_snapshot_a_day_later_starts_at_17_664_592() -> None:
    assert number_to_write([SNAPSHOT, RESTORED], NOW + DAY, 3.0).value == 17_664_592


def test_the_number_of_the_second_restore_rests_on_the_first() -> None:
    assert number_to_write([SNAPSHOT, RESTORED], NOW + DAY, 3.0).basis == RESTORED


def test_two_restores_at_one_moment_get_two_numbers() -> None:
    assert number_to_write([SNAPSHOT, RESTORED], NOW, 3.0).value == 17_080_656 + 65_536


def test_the_newest_evidence_is_not_always_the_highest() -> None:
    older_but_higher = Evidence(9_000_000, NOW - DAY, EvidenceKind.CAPTURE)
    newer_but_lower = Evidence(1_000, NOW, EvidenceKind.SNAPSHOT)

    # 9,000,000 + 2 * 3 * 86,400 + 65,536
    assert number_to_write([older_but_higher, newer_but_lower], NOW, 3.0).value == 9_583_936


def test_a_capture_above_the_last_number_given_out_counts() -> None:
    capture = Evidence(17_080_756, NOW, EvidenceKind.CAPTURE)

    assert number_to_write([SNAPSHOT, RESTORED, capture], NOW, 3.0).value == 17_080_756 + 65_536


def test_the_order_of_evidence_does_not_matter() -> None:
    forth = number_to_write([SNAPSHOT, RESTORED], NOW + DAY, 3.0)

    assert number_to_write([RESTORED, SNAPSHOT], NOW + DAY, 3.0) == forth


def test_an_unknown_rate_is_taken_as_50_a_second_and_doubled() -> None:
    # 1,463,120 + 2 * 50 * 2,592,000 + 65,536
    assert number_to_write([SNAPSHOT], NOW, None).value == 260_728_656


def test_50_a_second_over_30_days_are_3_02_per_cent_of_the_space() -> None:
    frames = frames_in(30 * DAY, UNKNOWN_RATE)

    assert (frames, round(100 * frames / 2**32, 2)) == (129_600_000, 3.02)


def test_a_start_value_says_what_it_rests_on() -> None:
    assert number_to_write([SNAPSHOT], NOW, 3.0).because == (
        "snapshot of 2027-02-24 08:00 UTC shows 1,463,120",
        "30.0 days at 3/s, times 2: 15,552,000 frames",
        "margin 65,536",
    )


def test_a_start_value_says_when_the_rate_is_not_known() -> None:
    assert "the rate is not known: 50/s is taken" in number_to_write([SNAPSHOT], NOW, None).because


def test_each_day_of_waiting_adds_518_400_at_3_a_second() -> None:
    assert added_per_day(3.0) == 518_400


def test_a_fraction_of_a_frame_counts_as_a_whole_one() -> None:
    assert frames_in(timedelta(seconds=1), 0.1) == 1


def test_a_duration_below_zero_holds_no_frames() -> None:
    assert frames_in(-DAY, 3.0) == 0


@pytest.mark.parametrize(
    ("seconds", "rate", "frames"), [(10, 0.1, 1), (30, 0.1, 3), (7, 0.7, 5), (1_000_000, 0.3, 300_000)]
)
def test_rates_are_taken_as_the_decimals_they_print_as(seconds: int, rate: float, frames: int) -> None:
    assert frames_in(timedelta(seconds=seconds), rate) == frames


def test_no_digit_is_lost_in_a_long_time() -> None:
    # 2^53 + 1 microseconds at a million a second: a float would drop the last frame
    assert frames_in(timedelta(microseconds=2**53 + 1), 1_000_000.0) == 9_007_199_254_740_993


def test_a_clock_change_between_does_not_shorten_an_age() -> None:
    # Oslo skips an hour on 2027-03-28: from 00:00 to 12:00 on the wall are 11 hours
    oslo = ZoneInfo("Europe/Oslo")
    snapshot = Evidence(0, datetime(2027, 3, 28, 0, tzinfo=oslo))

    assert number_to_write([snapshot], datetime(2027, 3, 28, 12, tzinfo=oslo), 1.0).frames == 79_200


# The end of the space


@pytest.mark.parametrize(
    ("start", "verdict"),
    [
        (2_147_483_647, Verdict.OK),
        (2_147_483_648, Verdict.WARN),
        (4_294_967_294, Verdict.WARN),
        (4_294_967_295, Verdict.REFUSE),
    ],
)
def test_a_start_value_warns_from_half_way_and_is_refused_at_the_end(start: int, verdict: Verdict) -> None:
    found = number_to_write([Evidence(start - 65_536, NOW)], NOW, 3.0)

    assert (found.value, found.verdict) == (start, verdict)


def test_a_refused_number_cannot_be_taken_for_writing() -> None:
    start = number_to_write([Evidence(4_294_967_294, NOW)], NOW, 3.0)

    with pytest.raises(CounterError, match="change the network key"):
        start.writable()


def test_a_number_that_only_warns_can_be_written() -> None:
    assert number_to_write([Evidence(2_147_483_648, NOW)], NOW, 3.0).writable() == 2_147_549_184


# Clocks that cannot be right


def test_a_clock_a_minute_ahead_counts_as_no_age() -> None:
    start = number_to_write([Evidence(1_000, NOW + timedelta(minutes=1))], NOW, 3.0)

    assert (start.value, start.verdict) == (66_536, Verdict.OK)


def test_a_time_in_the_future_counts_from_the_sound_evidence_below_it() -> None:
    ahead = Evidence(1_700_000, NOW + 50 * 365 * DAY)

    # 1,700,000 + 2 * 3 * 2,592,000 + 65,536: counted from the snapshot of 30 days ago
    assert number_to_write([SNAPSHOT, ahead], NOW, 3.0).value == 17_317_536


def test_a_time_after_its_own_landing_counts_from_the_sound_evidence_below_it() -> None:
    # stamped two hours ahead and long past by now: only its landing gives it away
    landed = NOW - 10 * DAY
    ahead = Evidence(1_700_000, landed + 2 * HOUR, EvidenceKind.SNAPSHOT, landed)

    assert number_to_write([SNAPSHOT, ahead], NOW, 3.0).value == 17_317_536


def test_of_all_sound_evidence_below_it_the_latest_dates_a_doubtful_one() -> None:
    later = Evidence(1_600_000, NOW - 10 * DAY)
    ahead = Evidence(20_000_000, NOW + DAY)

    # 20,000,000 + 2 * 3 * 864,000 + 65,536
    assert number_to_write([SNAPSHOT, later, ahead], NOW, 3.0).value == 25_249_536


def test_a_time_of_1970_counts_from_the_sound_evidence_below_it() -> None:
    epoch = Evidence(1_700_000, datetime(1970, 1, 1, tzinfo=UTC))

    assert number_to_write([SNAPSHOT, epoch], NOW, 3.0).value == 17_317_536


def test_sound_evidence_above_a_doubtful_one_does_not_date_it() -> None:
    higher = Evidence(2_000_000, NOW - DAY)
    ahead = Evidence(1_700_000, NOW + DAY, EvidenceKind.SNAPSHOT)

    # counted from the snapshot of 30 days ago, not from yesterday's higher value
    assert number_to_write([SNAPSHOT, higher, ahead], NOW, 3.0).value == 17_317_536


@pytest.mark.parametrize("at", [NOW + 50 * 365 * DAY, datetime(1970, 1, 1, tzinfo=UTC), NOW - 400 * DAY])
def test_an_impossible_time_counts_from_the_day_before_which_nothing_can_be(at: datetime) -> None:
    start = number_to_write([Evidence(1_463_120, at)], NOW, 3.0, not_before=NOW - 30 * DAY)

    assert (start.value, start.verdict) == (17_080_656, Verdict.OK)


def test_without_any_sound_time_a_snapshot_counts_from_its_landing_with_a_warning() -> None:
    lost_clock = Evidence(1_463_120, datetime(1970, 1, 1, tzinfo=UTC), landed_at=NOW - 30 * DAY)

    start = number_to_write([lost_clock], NOW, 3.0)

    assert (start.value, start.verdict) == (17_080_656, Verdict.WARN)


def test_without_any_sound_time_and_landing_the_number_is_refused() -> None:
    assert number_to_write([Evidence(1_463_120, NOW + DAY)], NOW, 3.0).verdict is Verdict.REFUSE


def test_a_doubtful_clock_is_named_among_the_reasons() -> None:
    ahead = Evidence(1_700_000, NOW + DAY)

    assert number_to_write([SNAPSHOT, ahead], NOW, 3.0).because[-1] == (
        "snapshot of 2027-03-27 08:00 UTC shows 1,700,000: a clock was wrong, "
        "counted from 2027-02-24 08:00 UTC"
    )


def test_a_book_whose_clock_fell_back_counts_from_its_latest_landing() -> None:
    # asked a year "before" the snapshot landed: its 30 days of age until the landing still count
    snapshot = Evidence(1_463_120, NOW - 30 * DAY, landed_at=NOW)

    assert number_to_write([snapshot], NOW - 365 * DAY, 3.0).value == 17_080_656


def test_evidence_cannot_be_older_than_a_day_that_is_still_to_come() -> None:
    with pytest.raises(CounterError, match="right is a time that is past"):
        number_to_write([SNAPSHOT], NOW, 3.0, not_before=NOW + DAY)


# What cannot be a counter, a rate, a ledger


@pytest.mark.parametrize("value", [-1, 4_294_967_295, 2**40, True, pytest.param(10**5000, id="5001 digits")])
def test_a_value_outside_the_space_is_no_evidence(value: int) -> None:
    with pytest.raises(CounterError, match="right is 0 to 4,294,967,294"):
        Evidence(value, NOW)


def test_a_time_without_a_zone_is_no_evidence() -> None:
    with pytest.raises(CounterError, match="right is a time with its zone"):
        Evidence(1, datetime(2027, 1, 1))  # noqa: DTZ001


def test_a_time_off_the_calendar_is_no_evidence() -> None:
    with pytest.raises(CounterError, match="years 1 to 9999"):
        Evidence(1, datetime(1, 1, 1, tzinfo=ZoneInfo("Asia/Tokyo")))


def test_an_empty_ledger_gives_no_number() -> None:
    with pytest.raises(CounterError, match="at least one snapshot"):
        number_to_write([], NOW, 3.0)


@pytest.mark.parametrize("rate", [-1.0, float("nan"), float("inf")])
def test_an_impossible_rate_gives_no_number(rate: float) -> None:
    with pytest.raises(CounterError, match="right is a number of frames per second"):
        number_to_write([SNAPSHOT], NOW, rate)


@pytest.mark.parametrize(("safety", "margin"), [(0, 65_536), (2, 0)])
def test_a_number_without_safety_or_margin_is_not_given(safety: int, margin: int) -> None:
    with pytest.raises(CounterError, match="right are whole numbers from 1"):
        number_to_write([SNAPSHOT], NOW, 3.0, safety=safety, margin=margin)
