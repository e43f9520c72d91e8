"""Trade row P7: a visit within thirty days of a swap calls back to it; causes are kept apart."""

from datetime import timedelta

from fleet.planning.replacing.callbacks import Accepted, Made, called_back
from tests.make import NOW

DAY = timedelta(days=1)
SWAP = Accepted(key=1, mesh=10, at=NOW)


def visits_of(*visits, swaps=(SWAP,)):
    return {key: [each.visit for each in found] for key, found in called_back(swaps, visits).items()}


def test_day_29_counts_and_day_31_does_not():
    assert visits_of(Made(1, NOW + 29 * DAY, no_mesh=True)) == {1: [1]}
    assert visits_of(Made(1, NOW + 31 * DAY, no_mesh=True)) == {}


def test_the_thirtieth_day_counts_to_its_last_second():
    assert visits_of(Made(1, NOW + 30 * DAY, no_mesh=True)) == {1: [1]}
    assert visits_of(Made(1, NOW + 30 * DAY + timedelta(seconds=1), no_mesh=True)) == {}


def test_what_came_before_it_was_accepted_does_not():
    assert visits_of(Made(1, NOW, no_mesh=True), Made(2, NOW - DAY, no_mesh=True)) == {}


def test_the_visit_of_the_swap_itself_does_not():
    assert visits_of(Made(1, NOW + DAY, swaps=frozenset({1}), about=frozenset({10}))) == {}


def test_two_causes_are_kept_apart():
    """Two meshes of one home were swapped; each has the visits about itself, and one about both counts for both."""
    swaps = (SWAP, Accepted(2, 20, NOW + DAY))
    first = Made(1, NOW + 3 * DAY, about=frozenset({10}))
    second = Made(2, NOW + 4 * DAY, about=frozenset({20}))
    both = Made(3, NOW + 5 * DAY, about=frozenset({10, 20}))
    assert visits_of(both, second, first, swaps=swaps) == {1: [1, 3], 2: [2, 3]}


def test_work_in_a_mesh_that_was_not_swapped_is_another_cause():
    assert visits_of(Made(1, NOW + DAY, about=frozenset({99}))) == {}


def test_planned_work_is_another_cause():
    assert visits_of(Made(1, NOW + DAY)) == {}


def test_what_names_no_mesh_counts_once_for_the_newest_swap_and_says_so():
    swaps = (SWAP, Accepted(2, 20, NOW + DAY))
    found = called_back(swaps, [Made(1, NOW + 3 * DAY, no_mesh=True)])
    assert list(found) == [2]
    assert [each.names_mesh for each in found[2]] == [False]


def test_two_visits_are_two_callbacks():
    assert visits_of(Made(2, NOW + 5 * DAY, no_mesh=True), Made(1, NOW + DAY, no_mesh=True)) == {1: [1, 2]}
