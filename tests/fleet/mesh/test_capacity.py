from datetime import UTC, date, datetime, timedelta

import pytest

from fleet.mesh.capacity import (
    DatedUse,
    Level,
    Limit,
    LimitSource,
    Resource,
    growth_per_month,
    headroom,
    level_of,
    months_left,
    outlook,
    room_of,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
ALL_NEEDED = (
    Resource.CHILDREN,
    Resource.NEIGHBOURS,
    Resource.ROUTES,
    Resource.SOURCE_ROUTES,
    Resource.LINK_KEYS,
)
WIDE = {resource: Limit(100, LimitSource.DECLARED) for resource in ALL_NEEDED}
HALF_USED: dict[Resource, int | None] = dict.fromkeys(ALL_NEEDED, 50)


def uses(*steps: tuple[float, int]) -> list[DatedUse]:
    return [DatedUse(NOW - timedelta(days=days_ago), used) for days_ago, used in steps]


def test_46_of_50_children_leave_8_per_cent() -> None:
    assert headroom(46, 50) == pytest.approx(0.08)


@pytest.mark.parametrize(("used", "limit"), [(None, 50), (46, None), (None, None)])
def test_headroom_of_something_unknown_is_unknown(used: int | None, limit: int | None) -> None:
    assert headroom(used, limit) is None


@pytest.mark.parametrize("used", [0, 3])
def test_a_limit_of_zero_leaves_no_room(used: int) -> None:
    assert headroom(used, 0) == 0.0


def test_no_nodes_leave_all_the_room() -> None:
    assert headroom(0, 50) == 1.0


def test_a_use_over_its_limit_is_shown_below_zero() -> None:
    assert headroom(60, 50) == pytest.approx(-0.2)


def test_a_limit_below_zero_is_refused() -> None:
    with pytest.raises(ValueError, match="right is 0 or more"):
        Limit(-1)


@pytest.mark.parametrize(
    ("used", "level"),
    [
        (80, Level.OK),
        (81, Level.WARN),
        (90, Level.WARN),
        (91, Level.STOP),
        (100, Level.STOP),
        (120, Level.STOP),
    ],
)
def test_the_level_turns_below_20_and_below_10_per_cent(used: int, level: Level) -> None:
    assert level_of(headroom(used, 100)) is level


@pytest.mark.parametrize(("used", "limit"), [(45, 50), (27, 30), (9, 10), (63, 70)])
def test_exactly_10_per_cent_is_not_yet_a_stop(used: int, limit: int) -> None:
    assert level_of(headroom(used, limit)) is Level.WARN


def test_the_tightest_resource_sets_the_headroom_of_a_radio() -> None:
    room = room_of(HALF_USED | {Resource.ROUTES: 85}, WIDE)

    assert (room.headroom, room.tightest, room.level) == (0.15, Resource.ROUTES, Level.WARN)


def test_an_observed_ceiling_counts_like_a_declared_limit() -> None:
    limits = WIDE | {Resource.OBSERVED_CEILING: Limit(42, LimitSource.OBSERVED)}

    room = room_of(HALF_USED | {Resource.OBSERVED_CEILING: 40}, limits)

    assert (room.tightest, room.level) == (Resource.OBSERVED_CEILING, Level.STOP)


@pytest.mark.parametrize("missing", ALL_NEEDED)
def test_one_missing_limit_of_the_five_makes_the_whole_unknown(missing: Resource) -> None:
    room = room_of(HALF_USED, WIDE | {missing: Limit(None)})

    assert (room.level, room.unknown) == (Level.UNKNOWN, (missing,))


@pytest.mark.parametrize("missing", ALL_NEEDED)
def test_one_missing_use_of_the_five_makes_the_whole_unknown(missing: Resource) -> None:
    room = room_of(HALF_USED | {missing: None}, WIDE)

    assert (room.level, room.unknown) == (Level.UNKNOWN, (missing,))


def test_missing_bindings_do_not_make_the_whole_unknown() -> None:
    assert room_of(HALF_USED, WIDE | {Resource.BINDINGS: Limit(None)}).level is Level.OK


def test_a_known_stop_stays_a_stop_beside_something_unknown() -> None:
    room = room_of({Resource.CHILDREN: 46}, {Resource.CHILDREN: Limit(50)})

    assert room.level is Level.STOP
    assert room.headroom == pytest.approx(0.08)


def test_a_known_warning_beside_something_unknown_is_unknown() -> None:
    assert room_of({Resource.CHILDREN: 42}, {Resource.CHILDREN: Limit(50)}).level is Level.UNKNOWN


def test_a_radio_of_which_nothing_is_known_is_never_green() -> None:
    room = room_of({}, {})

    assert (room.headroom, room.tightest, room.level) == (None, None, Level.UNKNOWN)


def test_a_radio_of_zero_limits_and_zero_nodes_is_full() -> None:
    room = room_of(dict.fromkeys(ALL_NEEDED, 0), dict.fromkeys(ALL_NEEDED, Limit(0)))

    assert (room.headroom, room.level) == (0.0, Level.STOP)


def test_every_resource_is_listed_with_its_own_level() -> None:
    room = room_of(HALF_USED | {Resource.ROUTES: 95}, WIDE)

    assert [(r.resource, r.level) for r in room.resources] == [
        (Resource.CHILDREN, Level.OK),
        (Resource.NEIGHBOURS, Level.OK),
        (Resource.ROUTES, Level.STOP),
        (Resource.SOURCE_ROUTES, Level.OK),
        (Resource.LINK_KEYS, Level.OK),
        (Resource.BINDINGS, Level.UNKNOWN),
        (Resource.GROUPS, Level.UNKNOWN),
        (Resource.OBSERVED_CEILING, Level.UNKNOWN),
    ]


def test_46_of_50_at_one_and_a_half_a_month_last_2_7_months() -> None:
    left = months_left(46, 50, 1.5)

    assert left == pytest.approx(2.7, abs=0.05)


def test_46_of_50_growing_by_one_and_a_half_a_month_are_full_in_june() -> None:
    # 2.67 months of 30.4375 days after 26 March 2027
    found = outlook(uses((121.75, 40), (60.875, 43), (0, 46)), 46, 50, NOW)

    assert found.growth == pytest.approx(1.5)
    assert found.months_left == pytest.approx(2.7, abs=0.05)
    assert found.full_on == date(2027, 6, 15)


def test_without_growth_there_is_no_date() -> None:
    found = outlook(uses((60, 46), (30, 46), (0, 46)), 46, 50, NOW)
    assert (found.growth, found.months_left, found.full_on) == (0.0, None, None)


def test_with_one_reading_nobody_can_say() -> None:
    assert outlook(uses((0, 46)), 46, 50, NOW).growth is None


def test_a_date_beyond_ten_years_is_not_named() -> None:
    found = outlook(uses((180, 10), (0, 11)), 11, 500, NOW)
    assert found.months_left is not None
    assert found.full_on is None


def test_growth_is_read_from_dated_uses() -> None:
    # 40, 43 and 46 children, two months of 30.4375 days apart: 1.5 a month
    assert growth_per_month(uses((121.75, 40), (60.875, 43), (0, 46)), NOW) == pytest.approx(1.5)


def test_one_odd_reading_does_not_move_the_growth() -> None:
    # 11, 12, (13), 14, 15 rise by 1 a month; of the ten pairs only the four with the odd 90 differ
    months = 30.4375
    readings = uses((4 * months, 11), (3 * months, 12), (2 * months, 90), (months, 14), (0, 15))

    assert growth_per_month(readings, NOW) == pytest.approx(1.0)


def test_uses_older_than_six_months_do_not_count() -> None:
    assert growth_per_month(uses((200, 10), (30.4375, 45), (0, 46)), NOW) == pytest.approx(1.0)


def test_of_one_day_the_last_reading_counts() -> None:
    readings = uses((30.4375, 44), (0.2, 99), (0.0, 46))

    assert growth_per_month(readings, NOW) == pytest.approx(2.0)


@pytest.mark.parametrize(
    "readings", [uses(), uses((3, 40)), uses((0.1, 40), (0, 41)), uses((400, 1), (300, 2))]
)
def test_growth_is_unknown_with_fewer_than_two_days(readings: list[DatedUse]) -> None:
    assert growth_per_month(readings, NOW) is None


@pytest.mark.parametrize(
    ("used", "limit", "growth"),
    [(46, None, 1.5), (None, 50, 1.5), (46, 50, None), (46, 50, 0.0), (46, 50, -1.0)],
)
def test_no_end_is_foretold_without_knowledge_or_growth(
    used: int | None, limit: int | None, growth: float | None
) -> None:
    assert months_left(used, limit, growth) is None


@pytest.mark.parametrize(("used", "limit"), [(50, 50), (60, 50), (0, 0)])
def test_a_full_table_has_no_months_left(used: int, limit: int) -> None:
    assert months_left(used, limit, None) == 0.0
