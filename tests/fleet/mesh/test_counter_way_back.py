from datetime import UTC, datetime, timedelta

import pytest

from fleet.mesh.counters import (
    BackOut,
    Evidence,
    EvidenceKind,
    WayBack,
    back_out,
    highest_use,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
SNAPSHOT = Evidence(1_463_120, NOW - 30 * DAY, EvidenceKind.SNAPSHOT)
RESTORED = Evidence(17_080_656, NOW, EvidenceKind.RESTORE)


def test_the_old_radio_needs_17_189_392_after_two_hours_of_the_new_one() -> None:
    way = back_out(
        [SNAPSHOT, RESTORED],
        NOW + 2 * HOUR,
        rate_upper=3.0,
        rate_lower=3.0,
        old_counter=1_720_000,
        can_be_written=True,
    )

    assert (way.way, way.start.value, way.days_deaf) == (WayBack.WRITE, 17_189_392, 0.0)


def deaf(**changes: float | bool | None) -> BackOut:
    facts = {
        "rate_upper": 3.0,
        "rate_lower": 3.0,
        "old_counter": 1_720_000,
        "can_be_written": False,
    } | changes
    return back_out([SNAPSHOT, RESTORED], NOW + 2 * HOUR, **facts)  # type: ignore[arg-type]


def test_an_old_radio_that_cannot_be_written_stays_deaf_for_59_3_days() -> None:
    way = deaf()

    assert way.way is WayBack.DEAF
    assert way.days_deaf == pytest.approx(59.3, abs=0.05)


def test_the_new_radio_stands_at_17_102_256_after_two_hours() -> None:
    assert highest_use([SNAPSHOT, RESTORED], NOW + 2 * HOUR, 3.0) == 17_102_256


def test_a_slow_old_radio_stays_deaf_for_longer() -> None:
    # (17,102,256 - 1,720,000) / 1.5 a second
    assert deaf(rate_lower=1.5).days_deaf == pytest.approx(118.7, abs=0.05)


@pytest.mark.parametrize("changes", [{"rate_lower": 0.0}, {"rate_lower": None}, {"old_counter": None}])
def test_deafness_without_knowledge_has_no_known_end(changes: dict[str, float | None]) -> None:
    way = deaf(**changes)

    assert (way.way, way.days_deaf) == (WayBack.DEAF, None)


def test_an_old_radio_that_stands_high_enough_can_go_back_as_it_is() -> None:
    assert deaf(old_counter=17_189_392).way is WayBack.READY


def test_an_old_radio_just_below_the_needed_number_cannot_go_back_as_it_is() -> None:
    assert deaf(old_counter=17_189_391).way is WayBack.DEAF


def test_at_the_end_of_the_space_writing_is_no_way_back() -> None:
    last = Evidence(4_294_967_000, NOW, EvidenceKind.RESTORE)

    way = back_out([last], NOW, rate_upper=3.0, rate_lower=3.0, old_counter=1, can_be_written=True)

    assert way.way is WayBack.DEAF
