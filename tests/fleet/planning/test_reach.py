import math

import pytest

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import (
    Position,
    PositionError,
    Stretch,
    TravelProfile,
    great_circle_km,
    travel_minutes,
)

PLAIN = TravelProfile(
    circuity=ThreePoints(1, 1.5, 2),
    set_off_minutes=ThreePoints(0, 10, 20),
    stretches=(Stretch(10, 20, 30, 60), Stretch(math.inf, 40, 60, 120)),
)


def test_the_published_great_circle_is_2886_45_km():
    # Widely published worked example, with the IUGG mean radius of 6371.0088 km.
    distance = great_circle_km(Position(36.12, -86.67), Position(33.94, -118.40))
    assert round(distance, 2) == 2886.45


def test_a_quarter_of_a_meridian_is_a_quarter_of_the_way_round():
    # pi / 2 * 6371.0088 km
    assert round(great_circle_km(Position(0, 20), Position(90, 0)), 2) == 10007.56


def test_opposite_places_are_half_the_way_round():
    assert round(great_circle_km(Position(10, 20), Position(-10, -160)), 2) == 20015.11


def test_a_degree_over_the_date_line_is_a_degree():
    # 2 * pi * 6371.0088 / 360 km
    assert round(great_circle_km(Position(0, 179.5), Position(0, -179.5)), 2) == 111.2


def test_a_place_is_no_distance_from_itself():
    assert great_circle_km(Position(-43.95, -176.56), Position(-43.95, -176.56)) == 0


@pytest.mark.parametrize(
    ("latitude", "longitude", "named"),
    [(91, 0, "latitude is 91"), (0, -181, "longitude is -181"), (math.nan, 0, "latitude is nan")],
)
def test_a_position_off_the_globe_is_refused(latitude, longitude, named):
    with pytest.raises(PositionError, match=named):
        Position(latitude, longitude)


def test_a_way_is_driven_stretch_by_stretch():
    # Straight 20 km. Low: 20 km of road, 10 at 60 and 10 at 120 km/h: 15 min. Likely: 10 min to set off,
    # 30 km, 10 at 30 and 20 at 60: 50 min. High: 20 min, 40 km, 10 at 20 and 30 at 40: 95 min.
    assert travel_minutes(20, PLAIN) == ThreePoints(15, 50, 95)


def test_a_short_way_stays_in_the_first_stretch():
    assert travel_minutes(4, PLAIN) == ThreePoints(4, 22, 44)


def test_a_spare_in_the_home_need_not_travel():
    assert travel_minutes(0) == ThreePoints(0, 0, 0)


def test_the_default_ways_grow_with_the_distance():
    ways = [travel_minutes(km).likely for km in (1, 10, 38, 39, 100, 1000)]
    assert ways == sorted(ways)


def test_a_spare_400_km_away_is_over_four_hours_away():
    assert travel_minutes(400).likely > 240
