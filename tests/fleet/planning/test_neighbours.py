"""The nearest homes, against measuring every pair."""

from random import Random

import pytest

from fleet.planning.neighbours import Neighbours
from fleet.planning.reach import Position, great_circle_km

MOST = 3


def by_measuring_all(places: dict[int, Position], key: int) -> list[tuple[int, float]]:
    far = ((other, great_circle_km(places[key], there)) for other, there in places.items() if other != key)
    near = sorted((each for each in far if each[1] <= 25), key=lambda each: (each[1], str(each[0])))
    return near[:MOST]


@pytest.mark.parametrize(
    ("north", "east", "spread", "count"),
    [(59.9, 10.7, 0.2, 150), (0.0, 179.99, 0.5, 60), (89.9, 0.0, 0.3, 40), (-43.9, -176.5, 3.0, 80)],
    ids=["town", "date line", "pole", "scattered"],
)
def test_the_nearest_are_those_that_measuring_every_pair_finds(north, east, spread, count):
    draw = Random(f"{north}{east}")
    places = {}
    for number in range(count):
        latitude = min(north + draw.uniform(-spread, spread), 90)
        longitude = (east + draw.uniform(-spread, spread) + 180) % 360 - 180
        places[number] = Position(latitude, longitude)
    near = Neighbours(places)
    for key in places:
        assert list(near.nearest(key, MOST)) == by_measuring_all(places, key)


def test_two_meshes_of_one_home_are_no_way_apart():
    here = Position(68.15, 14.2)
    assert Neighbours({"A": here, "B": here}).nearest("A", MOST) == (("B", 0.0),)


def test_a_home_without_a_position_has_no_neighbours():
    assert Neighbours({"A": Position(0, 0)}).nearest("B", MOST) == ()
