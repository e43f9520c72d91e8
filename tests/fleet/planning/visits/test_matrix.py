import pytest

from fleet.planning.reach import Position
from fleet.planning.visits.matrix import ByMatrix, missing_ways
from fleet.planning.visits.span import VisitError
from fleet.planning.visits.travel import ByRoad
from tests.fleet.planning.visits.worlds import STEADY

HERE = Position(0, 0)
PAIRS = {("noor", "KELP-7"): 20, ("KELP-7", "noor"): 35.5}


def test_there_and_back_may_differ():
    ways = ByMatrix(STEADY, PAIRS)
    there, back = (
        ways.minutes(*way) for way in (("noor", HERE, "KELP-7", HERE), ("KELP-7", HERE, "noor", HERE))
    )
    assert (there, back) == (20, 35.5)


def test_a_way_that_is_missing_is_named_when_it_is_needed():
    with pytest.raises(VisitError, match="no way from NOOR to KELP-7"):
        ByMatrix(STEADY, {}).minutes("NOOR", HERE, "KELP-7", HERE)


def test_a_way_that_is_missing_is_asked_of_the_great_circle():
    road, there = ByRoad(STEADY), Position(0, 1)
    ways = ByMatrix(STEADY, PAIRS, road)
    assert ways.minutes("A", HERE, "B", there) == road.minutes("A", HERE, "B", there) > 0
    assert ways.minutes("noor", HERE, "KELP-7", there) == 20


def test_ways_that_are_missing_are_those_between_homes_and_from_bases_and_back():
    pairs = {("A", "B"): 1, ("B", "A"): 1, ("noor", "A"): 1}
    assert missing_ways(pairs, ["A", "B"], ["noor", "pekka"]) == [
        ("A", "noor"),
        ("A", "pekka"),
        ("B", "noor"),
        ("B", "pekka"),
        ("noor", "B"),
        ("pekka", "A"),
        ("pekka", "B"),
    ]
