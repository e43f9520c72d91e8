"""The order of swaps: equal to a calculation by hand, and no home sunk by what nobody knows (trade rule C14).

The twenty homes and their sums are written out here in fractions and decimals, with no code of the tool's. exp(-rate)
is given as a table of decimals (from a table of the exponential function, to ten places).
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.priority import (
    Act,
    Growth,
    PriorityError,
    SwapFacts,
    TermName,
    Weights,
    Worst,
    chance_within_a_year,
    in_order,
    place_of,
    shared_travel,
)

EXP = {
    "0": Decimal(1),
    "0.01": Decimal("0.9900498337"),
    "0.02": Decimal("0.9801986733"),
    "0.03": Decimal("0.9704455335"),
    "0.05": Decimal("0.9512294245"),
    "0.08": Decimal("0.9231163464"),
    "0.1": Decimal("0.9048374180"),
    "0.2": Decimal("0.8187307531"),
    "0.5": Decimal("0.6065306597"),
    "1": Decimal("0.3678794412"),
}
# code, rate, outage h, joining h, spared, safety, growth, support days, work h, way h, hops h
# A figure that is not known is None.
HOMES = (
    ("ASH-1", "0.08", 10, 6, "0.85", False, "free", 900, "1.2", 1, ()),
    ("ASH-2", "0.08", 10, 6, "0.85", True, "free", 900, "1.2", 1, ()),
    ("BAY-1", "0.02", 340, 8, "0", False, "free", 900, "1.5", "0.5", ("0.25",)),
    ("BAY-2", "0.02", 340, 8, "0", True, "stopped", 900, "1.5", "0.5", ("0.25",)),
    ("COVE-1", "0.5", 4, 3, "0.8", False, "eased", 900, "1", "0.5", ("0", "0.25")),
    ("COVE-2", "0.5", 4, 3, "0.8", False, "stopped", 900, "1", "0.5", ("0", "0.25")),
    ("DELL-1", "0.01", 2, 2, "0.9", False, "free", 0, "0.8", "0.25", ()),
    ("DELL-2", "0.01", 2, 2, "0.9", False, "free", 73, "0.8", "0.25", ()),
    ("ELM-1", "0.1", 60, 10, "0.5", True, "free", -40, "2", 3, ("0.5", "0.5", "0.5")),
    ("ELM-2", "0.1", 60, 10, "0.5", True, "free", -40, "2", 3, ()),
    ("FEN-1", None, 20, 5, "0.5", False, "free", 900, "1", 1, ()),
    ("FEN-2", "0.03", None, 5, "0.5", False, "free", 900, "1", 1, ()),
    ("FEN-3", "0.03", 20, None, "0.5", False, "free", 900, "1", 1, ()),
    ("FEN-4", "0.03", 20, 5, "0.5", None, "free", 900, "1", 1, ()),
    ("FEN-5", "0.03", 20, 5, "0.5", False, "unknown", 900, "1", 1, ()),
    ("FEN-6", "0.03", 20, 5, "0.5", False, "free", None, "1", 1, ()),
    ("FEN-7", "0.03", 20, 5, "0.5", False, "free", 900, "1", None, ()),
    ("GLEN-1", "0.2", 12, 7, "0.75", True, "free", 365, "1.25", 2, ("1",)),
    ("GLEN-2", "0.05", 12, 7, "0.75", True, "free", 365, "1.25", 2, ("4.5",)),
    ("HILL-1", None, None, None, "0", None, "unknown", None, "1", None, ()),
)
# By hand: the worst outage of the book is 340 h, the worst joining 10 h (both known), and both over the usual floor
# of 336 h and 8 h.
WORST_OUTAGE, WORST_JOINING = Fraction(340), Fraction(10)
OUTAGE_HOUR, SAFETY, GROWTH, SUPPORT = Fraction(1, 4), Fraction(40), Fraction(4), Fraction(2)


def exact(text: str | int | None) -> Fraction | None:
    return None if text is None else Fraction(str(text))


def by_hand(home: tuple) -> tuple[Fraction, Fraction]:
    """Value and visit hours of one home, in fractions."""
    _, rate, outage, joining, spared, safety, growth, days, work, way, hops = home
    chance = Fraction(1) if rate is None else 1 - Fraction(EXP[rate])
    outage_term = (WORST_OUTAGE if outage is None else exact(outage)) * OUTAGE_HOUR
    joining_term = WORST_JOINING if joining is None else (1 - exact(spared)) * exact(joining)
    safety_term = Fraction(0) if safety is False else SAFETY
    growth_term = GROWTH if growth in ("stopped", "unknown") else Fraction(0)
    without = Fraction(365) if days is None else Fraction(min(max(365 - days, 0), 365))
    value = chance * (outage_term + joining_term + safety_term) + growth_term + SUPPORT * without / 365
    if way is None:
        return value, max(exact(work), Fraction(1, 4))
    trips = [
        (2 * exact(way) + sum(map(exact, hops[:n]), Fraction(0))) / (n + 1) for n in range(len(hops) + 1)
    ]
    return value, exact(work) + min(trips)


def facts(home: tuple, act: Act = Act.SWAP) -> SwapFacts:
    code, rate, outage, joining, spared, safety, growth, days, work, way, hops = home

    def number(text: str | int | None) -> float | None:
        return None if text is None else float(text)

    return SwapFacts(
        code=code,
        act=act,
        failures_a_year=number(rate),
        rate_of="family P",
        outage_hours=number(outage),
        joining_hours=number(joining),
        spared=float(spared),
        safety=safety,
        growth=Growth(growth),
        support_days=days,
        work_hours=float(work),
        way_hours=number(way),
        hops_hours=tuple(map(float, hops)),
    )


PLAIN = facts(HOMES[0])


def test_the_order_of_twenty_homes_is_that_of_a_calculation_by_hand():
    worths = {home[0]: by_hand(home)[0] / by_hand(home)[1] for home in HOMES}
    wanted = sorted(worths, key=lambda code: -worths[code])
    found = in_order(map(facts, HOMES))
    assert [place.facts.code for place in found] == wanted
    for place in found:
        assert isclose(place.worth, float(worths[place.facts.code]), rel_tol=1e-8)


# code, value in hours, visit hours, worth: worked out apart, with decimals of 30 digits and exp by its series.
WRITTEN_OUT = (
    ("HILL-1", "141.0000", "1.0000", "141.0000"),
    ("COVE-2", "4.6296", "1.4167", "3.2679"),
    ("BAY-2", "6.6336", "2.1250", "3.1217"),
    ("FEN-1", "7.5000", "3.0000", "2.5000"),
    ("GLEN-1", "8.1118", "3.7500", "2.1631"),
    ("ELM-1", "7.7098", "3.8750", "1.9896"),
    ("DELL-1", "2.0070", "1.3000", "1.5438"),
    ("FEN-5", "4.2217", "3.0000", "1.4072"),
    ("DELL-2", "1.6070", "1.3000", "1.2361"),
    ("ASH-2", "3.3368", "3.2000", "1.0427"),
    ("ELM-2", "7.7098", "8.0000", "0.9637"),
    ("BAY-1", "1.8415", "2.1250", "0.8666"),
    ("FEN-2", "2.5860", "3.0000", "0.8620"),
    ("FEN-6", "2.2217", "3.0000", "0.7406"),
    ("FEN-4", "1.4038", "3.0000", "0.4679"),
    ("COVE-1", "0.6296", "1.4167", "0.4444"),
    ("GLEN-2", "2.1825", "5.2500", "0.4157"),
    ("FEN-7", "0.2217", "1.0000", "0.2217"),
    ("FEN-3", "0.4433", "3.0000", "0.1478"),
    ("ASH-1", "0.2614", "3.2000", "0.0817"),
)


def test_the_order_written_out():
    """The same twenty with their sums as a table, so that a mistake in the fractions above would show too."""
    found = [
        (place.facts.code, f"{place.value:.4f}", f"{place.visit_hours:.4f}", f"{place.worth:.4f}")
        for place in in_order(map(facts, HOMES))
    ]
    assert found == list(WRITTEN_OUT)


def test_one_home_term_by_term():
    """GLEN-1: P = 1 - 0.8187307531; 12 h at a quarter = 3; a quarter of 7 h = 1.75; safety 40; trip (4 + 1) / 2."""
    place = place_of(facts(HOMES[17]), Weights(), Worst())
    assert place.chance == pytest.approx(0.1812692469)
    assert [(term.name, term.hours) for term in place.terms] == [
        (TermName.OUTAGE, 3.0),
        (TermName.JOINING, 1.75),
        (TermName.SAFETY, 40.0),
        (TermName.GROWTH, 0.0),
        (TermName.SUPPORT, 0.0),
    ]
    assert place.value == pytest.approx(0.1812692469 * 44.75)
    assert (place.travel_hours, place.shared_with, place.visit_hours) == (2.5, 1, 3.75)


@pytest.mark.parametrize(("rate", "chance"), [(0.08, 0.077), (0.0, 0.0), (2.7355, 0.935)])
def test_the_chance_of_a_year(rate, chance):
    """[0.08 a year: 7.7 %] trade rule C14."""
    assert round(chance_within_a_year(rate), 3) == chance


def test_without_a_rate_the_bound_knows_no_end():
    assert chance_within_a_year(None) == 1.0


def test_neighbours_share_a_trip_only_as_far_as_that_shortens_it():
    assert shared_travel(1.0, ()) == (2.0, 0)
    assert shared_travel(1.0, (0.5,)) == (1.25, 1)
    assert shared_travel(1.0, (0.5, 9.0)) == (1.25, 1)
    assert shared_travel(1.0, (0.0, 0.0, 0.0, 0.0)) == (0.5, 3)  # four homes a trip and no more


def test_a_home_without_a_copy_is_first_helped_by_a_snapshot():
    """Its value is the same, its hours are those of reading a copy out: it is never sunk by what it lacks."""
    swap = place_of(PLAIN, Weights(), Worst())
    snapshot = place_of(replace(PLAIN, act=Act.SNAPSHOT), Weights(), Worst())
    assert snapshot.value == swap.value
    assert snapshot.visit_hours == pytest.approx(0.25 + 2.0)
    assert snapshot.worth > swap.worth
    assert Act.SNAPSHOT.words == "take a snapshot first"


def test_what_is_not_known_is_named():
    place = place_of(facts(HOMES[19]), Weights(), Worst())
    assert place.unknown == ("chance", "outage", "joining", "safety", "growth", "support")
    assert place_of(PLAIN, Weights(), Worst()).unknown == ()


UNKNOWABLE = (
    "failures_a_year",
    "outage_hours",
    "joining_hours",
    "safety",
    "growth",
    "support_days",
    "way_hours",
)
hours = st.floats(0, 2000)
homes = st.builds(
    SwapFacts,
    code=st.just("HOME-1"),
    act=st.sampled_from(Act),
    failures_a_year=st.floats(0, 50) | st.none(),
    rate_of=st.just(""),
    outage_hours=hours | st.none(),
    joining_hours=st.floats(0, 100) | st.none(),
    spared=st.floats(0, 1),
    safety=st.booleans() | st.none(),
    growth=st.sampled_from(Growth),
    support_days=st.integers(-1000, 5000) | st.none(),
    work_hours=st.floats(0, 12),
    way_hours=st.floats(0, 10) | st.none(),
    hops_hours=st.lists(st.floats(0, 5), max_size=4).map(tuple),
)


@given(home=homes, others=st.lists(homes, max_size=3), field=st.sampled_from(UNKNOWABLE))
def test_not_knowing_never_sinks_a_home(home, others, field):
    """Whatever a figure would be, within what the book knows: without it the home stands no lower."""
    book = [home, *(replace(other, code=f"OTHER-{n}") for n, other in enumerate(others))]
    # What stands in is the worst that the book knows of its homes, this one too.
    worst = Worst()
    for each in book:
        worst |= Worst(each.outage_hours or 0.0, each.joining_hours or 0.0)
    known = place_of(home, Weights(), worst)
    blank = Growth.UNKNOWN if field == "growth" else None
    unknown = place_of(replace(home, **{field: blank}), Weights(), worst)
    assert unknown.worth >= known.worth * (1 - 1e-12)
    assert unknown.value >= known.value * (1 - 1e-12)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"outage_hours": -1.0}, "HOME-1: outage_hours is -1.0; it must be a number, 0 or more."),
        ({"work_hours": float("nan")}, "HOME-1: work_hours is nan"),
        ({"spared": 1.5}, "HOME-1: the share spared is 1.5; it must lie between 0 and 1."),
    ],
)
def test_a_figure_that_cannot_be_is_named(change, told):
    with pytest.raises(PriorityError, match=told):
        replace(PLAIN, code="HOME-1", **change)


def test_a_weight_that_cannot_be_is_named():
    with pytest.raises(PriorityError, match=r"The weight safety is -1; it must be a number, 0 or more\."):
        Weights(safety=-1)


def test_an_empty_book_has_no_order():
    assert in_order([]) == []
