from collections import Counter
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.compatibility import PairRecord
from fleet.planning.drilling.lots import Lot, LotsError, draw, how_many, lot_of, unevenness

LOTS = tuple(Lot(f"HOME-{n}-A", 0, 0, weight) for n, weight in enumerate([1000, 500, 250, 50]))


@pytest.mark.parametrize(
    ("trials", "passes", "weight"),
    [(0, 0, 1000), (1, 1, 950), (10, 10, 259), (30, 28, 195), (50, 47, 148), (3, 0, 1000), (1000, 1000, 50)],
    ids=["untried", "c8-1-of-1", "c8-10-of-10", "c8-28-of-30", "c8-47-of-50", "all-failed", "never-below-50"],
)
def test_a_lot_weighs_what_the_pairs_record_leaves_open(trials, passes, weight):
    assert lot_of("KELP-7-A", PairRecord(trials, passes)).weight == weight


def test_the_same_seed_draws_the_same_whatever_the_order_of_the_lots():
    assert draw(LOTS, 3, Random("a seed")) == draw(LOTS[::-1], 3, Random("a seed"))


def test_a_known_seed_draws_what_the_page_says_how_to_draw():
    """The rule in the words of the page of a draw, worked out apart from the program."""
    chance = Random("1")
    left = {lot.mesh: lot.weight for lot in LOTS}
    by_hand = []
    for _ in range(3):
        at = int(chance.random() * sum(left.values()))
        for mesh in sorted(left):
            at -= left[mesh]
            if at < 0:
                by_hand.append(mesh)
                del left[mesh]
                break

    assert draw(LOTS, 3, Random("1")) == tuple(by_hand)


@given(seed=st.integers(), count=st.integers(0, 4))
def test_nobody_is_drawn_twice(seed, count):
    drawn = draw(LOTS, count, Random(seed))
    assert len(set(drawn)) == count


def test_the_first_is_drawn_in_proportion_to_its_weight():
    """20,000 draws; the counts lie within four standard deviations of a binomial count."""
    chance = Random(20270326)
    first = Counter(draw(LOTS, 1, chance)[0] for _ in range(20_000))

    for lot in LOTS:
        share = lot.weight / 1800
        spread = (20_000 * share * (1 - share)) ** 0.5
        assert abs(first[lot.mesh] - 20_000 * share) < 4 * spread


@pytest.mark.parametrize(
    ("lots", "count", "wrong"),
    [
        (LOTS, 5, "5 meshes cannot be drawn from 4"),
        (LOTS, -1, "-1 meshes cannot be drawn"),
        ((*LOTS, LOTS[0]), 1, "two lots"),
        ((Lot("X-1-A", 0, 0, 0),), 1, "weight below 1"),
    ],
    ids=["too-many", "negative", "twice", "no-weight"],
)
def test_lots_that_cannot_be_drawn_are_refused(lots, count, wrong):
    with pytest.raises(LotsError, match=wrong):
        draw(lots, count, Random(1))


@pytest.mark.parametrize(
    ("meshes", "a_month"),
    [(0, 0), (1, 1), (50, 3), (100, 4), (200, 5), (400, 5)],
    ids=["none", "one", "c16-31-of-50", "c16-45-of-100", "c16-51-of-200", "c16-55-of-400"],
)
def test_a_year_of_draws_rules_out_five_percent(meshes, a_month):
    assert how_many(meshes) == a_month


def test_unevenness_is_the_mean_weight_over_the_least():
    assert unevenness(LOTS) == 9
    assert unevenness([Lot("A-1-A", 0, 0, 700), Lot("B-1-A", 0, 0, 700)]) == 1
    assert unevenness([]) == 1
