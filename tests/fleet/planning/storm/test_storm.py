"""A storm played through: who is back when, against a slow replay that shares no code (trade row V10)."""

from dataclasses import replace
from itertools import combinations, permutations
from random import Random
from statistics import fmean

import pytest

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position
from fleet.planning.storm.answer import Helps, answer_from, answered, quantile, steps
from fleet.planning.storm.case import Extra, Fit, as_data, from_data
from fleet.planning.storm.matching import matched
from fleet.planning.storm.replay import Played, drawn
from tests.fleet.planning.storm import slow
from tests.fleet.planning.storm.worlds import (
    DAY,
    JOINING,
    LONG_DAY,
    RESTORE,
    TOWN,
    book,
    fit,
    goer,
    mesh,
    spare,
)

RUNS = 400
SURE = {"works": 1.0, "left": 0.0, "restore": ThreePoints.exactly(60)}


def draw_of(seed: str):
    return lambda number: Random(f"{seed}-{number}")


def case(meshes, spares, goers, **given):
    return replace(
        book("any", out=1), meshes=tuple(meshes), spares=tuple(spares), goers=tuple(goers), **given
    )


def play(one, seed: int = 1) -> dict[str, float]:
    return Played.of(one).run(Random(seed))


def sure(code: str, *spares: str, **given):
    return mesh(code, **{"fits": tuple(fit(each, **SURE) for each in spares), **given})


SEEDS = ("gale", "ice", "flood")


def both(seed: str, day: tuple[float, float]) -> tuple[list[float], list[float]]:
    """When the last home was back, run by run: of the tool, and of the slow replay."""
    storm = book(seed, day=day)
    played, given = Played.of(storm), slow.give_out(storm.meshes)
    assert {code: each.spare for code, each in played.fits.items()} == given
    assert len(given) == 6
    ours = [max(played.run(draw_of(seed)(number)).values()) for number in range(RUNS)]
    return ours, [max(slow.replay(storm, given, number).values()) for number in range(RUNS)]


@pytest.mark.parametrize("seed", SEEDS)
def test_twenty_of_four_hundred_homes_end_as_a_slow_replay_has_it(seed):
    """Three technicians, six spares, a day long enough for all of it: p90 of the last one back within 10 %."""
    ours, slowly = both(seed, LONG_DAY)
    assert quantile(ours, 0.9) == pytest.approx(quantile(slowly, 0.9), rel=0.10)
    assert quantile(ours, 0.5) == pytest.approx(quantile(slowly, 0.5), rel=0.10)
    assert answered(book(seed, day=LONG_DAY), RUNS, draw_of(seed)).p90 == quantile(ours, 0.9)


@pytest.mark.parametrize("seed", SEEDS)
def test_where_some_runs_go_over_night_the_whole_distribution_is_the_same(seed):
    """In a day of ten hours some runs end a day later: a p90 near that step leaps by hours with the draws.

    So the two are held against each other as a whole: the greatest distance of their distributions is below the
    critical value at 1 % (Kolmogorov and Smirnov, two samples: 1.628 * sqrt(2 / n); recalled).
    """
    ours, slowly = both(seed, DAY)
    apart = max(abs(sum(o <= x for o in ours) - sum(s <= x for s in slowly)) / RUNS for x in (*ours, *slowly))
    assert apart < 1.628 * (2 / RUNS) ** 0.5
    assert any(end > 1440 for end in ours)


def test_the_same_seed_gives_the_same_answer_and_another_seed_another():
    storm = book("gale")
    assert answered(storm, 20, draw_of("a")) == answered(storm, 20, draw_of("a"))
    assert answered(storm, 20, draw_of("a")) != answered(storm, 20, draw_of("b"))


def test_draws_have_the_mean_of_three_points_and_stay_within():
    draw, points = Random(7), ThreePoints(20, 40, 90)
    found = [drawn(points, draw) for _ in range(20_000)]
    assert fmean(found) == pytest.approx((20 + 4 * 40 + 90) / 6, rel=0.01)
    assert 20 <= min(found) <= max(found) <= 90
    assert drawn(ThreePoints.exactly(5), draw) == 5


def test_homes_with_safety_devices_come_first():
    storm = case(
        [sure("NEAR-1-A", "S-1"), sure("SAFE-1-A", "S-2", safety=True, position=Position(60.0, 10.9))],
        [spare("S-1"), spare("S-2")],
        [goer("noor")],
    )
    back = play(storm)
    assert back["SAFE-1-A"] < back["NEAR-1-A"]


def test_one_technician_is_at_one_home_at_a_time():
    storm = case(
        [sure(f"HOME-{n}-A", f"S-{n}", joining=ThreePoints.exactly(500)) for n in range(3)],
        [spare(f"S-{n}") for n in range(3)],
        [goer("noor")],
    )
    assert sorted(play(storm).values()) == [60, 120, 180]


def test_a_failed_try_adds_to_the_joining():
    never = Fit("S-1", 0.5, ThreePoints.exactly(10), 0.0, 0)
    storm = case(
        [mesh("HOME-1-A", fits=(never,), joining=ThreePoints.exactly(100))], [spare("S-1")], [goer("noor")]
    )
    assert {play(storm, seed)["HOME-1-A"] for seed in range(40)} == {10.0, 110.0}


def test_nobody_tries_what_is_expected_to_take_longer():
    hopeless = Fit("S-1", 0.0, ThreePoints.exactly(10), 0.0, 0)
    storm = case(
        [mesh("HOME-1-A", fits=(hopeless,), joining=ThreePoints.exactly(100))], [spare("S-1")], [goer("noor")]
    )
    assert play(storm) == {"HOME-1-A": 100.0}


def test_what_does_not_fit_into_the_day_waits_for_the_next_and_a_rest_lies_between():
    long = ThreePoints.exactly(400)
    homes = [sure(f"HOME-{n}-A", f"S-{n}") for n in range(2)]
    homes = [replace(home, fits=(replace(home.fits[0], restore=long),)) for home in homes]
    homes = [replace(home, joining=ThreePoints.exactly(900)) for home in homes]
    storm = case(homes, [spare("S-0"), spare("S-1")], [goer("noor", shifts=(DAY, (1000.0, 1600.0)))])
    assert sorted(play(storm).values()) == [400, 400 + 660 + 400]


def test_what_is_begun_is_finished_after_hours_and_the_rest_runs_from_then():
    late = sure("HOME-1-A", "S-1", joining=ThreePoints.exactly(2000))
    late = replace(late, fits=(replace(late.fits[0], restore=ThreePoints.exactly(900)),))
    other = sure("HOME-2-A", "S-2", joining=ThreePoints.exactly(2000))
    storm = case([late, other], [spare("S-1"), spare("S-2")], [goer("noor", shifts=(DAY, (1440.0, 2040.0)))])
    back = play(storm)
    assert back["HOME-1-A"] == 900
    assert back["HOME-2-A"] == 900 + 660 + 60


def test_where_somebody_needs_care_two_go_and_one_alone_does_not():
    home = sure("CARE-1-A", "S-1", people=2)
    assert play(case([home], [spare("S-1")], [goer("noor")])) == {}
    alone = answered(case([home], [spare("S-1")], [goer("noor")]), 5, draw_of("x"))
    assert [(each.wants, each.share) for each in alone.homes] == [("person", 0.0)]
    assert play(case([home], [spare("S-1")], [goer("noor"), goer("pekka")])) == {"CARE-1-A": 60}


def test_two_stay_to_the_end_and_are_not_elsewhere():
    homes = [sure("CARE-1-A", "S-1", people=2, safety=True), sure("HOME-2-A", "S-2"), sure("HOME-3-A", "S-3")]
    storm = case(homes, [spare(f"S-{n}") for n in (1, 2, 3)], [goer("noor"), goer("pekka")])
    assert play(storm) == {"CARE-1-A": 60, "HOME-2-A": 120, "HOME-3-A": 120}


def test_a_spare_in_a_van_goes_with_whoever_drives_it():
    far = Position(60.2, 11.4)
    storm = case(
        [sure("HOME-1-A", "S-1")],
        [spare("S-1", holder="pekka")],
        [goer("noor"), goer("pekka", base=far)],
    )
    assert play(storm)["HOME-1-A"] > 60


def test_a_spare_on_a_shelf_is_fetched_and_one_in_the_home_is_not():
    shelf = Position(60.0, 10.9)
    home = sure("HOME-1-A", "S-1")
    assert play(case([home], [spare("S-1", position=shelf, home="HOME-1")], [goer("noor")])) == {
        "HOME-1-A": 60
    }
    assert play(case([home], [spare("S-1", position=shelf)], [goer("noor")]))["HOME-1-A"] > 80


@pytest.mark.parametrize(
    ("change", "wants"),
    [
        ({"position": None}, "place"),
        ({"fits": ()}, "spare"),
        ({"position": Position(48.0, 2.0)}, "person"),
    ],
    ids=["nobody knows where it lies", "nothing fits", "too far for everybody"],
)
def test_a_home_that_is_not_back_says_what_it_wants_for(change, wants):
    storm = case([replace(sure("HOME-1-A", "S-1"), **change)], [spare("S-1")], [goer("noor")])
    answer = answered(storm, 3, draw_of("x"))
    assert [(home.wants, home.p90, home.meshes) for home in answer.homes] == [(wants, None, ("HOME-1-A",))]
    assert (answer.p90, answer.back) == (None, 0)


def test_nobody_at_all_brings_nothing_back():
    answer = answered(case([sure("HOME-1-A", "S-1")], [spare("S-1")], []), 3, draw_of("x"))
    assert [home.wants for home in answer.homes] == ["person"]


def test_a_home_is_back_when_its_last_mesh_is():
    storm = case(
        [sure("HOME-1-A", "S-1"), sure("HOME-1-B", "S-2"), sure("HOME-2-A", "S-3"), sure("HOME-2-B")],
        [spare("S-1"), spare("S-2"), spare("S-3")],
        [goer("noor")],
    )
    homes = {home.home: home for home in answered(storm, 3, draw_of("x")).homes}
    assert homes["HOME-1"].p50 == max(play(storm)["HOME-1-A"], play(storm)["HOME-1-B"])
    assert (homes["HOME-2"].wants, homes["HOME-2"].meshes) == ("spare", ("HOME-2-B",))


def test_the_thing_that_helps_most_comes_first():
    homes = [sure("HOME-1-A", "S-1"), sure("HOME-2-A")]
    more = Extra("one more spare of family P", spare("NEW-P"), (("HOME-2-A", fit("NEW-P", **SURE)),))
    another = Extra("one more person", goer=goer("somebody"))
    storm = case(homes, [spare("S-1")], [goer("noor")], extras=(another, more))
    helps = answered(storm, 10, draw_of("x")).helps
    assert [each.label for each in helps] == [more.label, another.label]
    assert (helps[0].more_back, helps[1].more_back) == (1, 0)
    # Back after two hours instead of not within fourteen days.
    assert helps[0].spared_hours == pytest.approx(14 * 24 - 2)
    assert steps(storm, 10) == 30


def test_one_more_person_helps_where_hands_are_short():
    homes = [sure(f"HOME-{n}-A", f"S-{n}") for n in range(4)]
    storm = case(
        homes,
        [spare(f"S-{n}") for n in range(4)],
        [goer("noor")],
        extras=(Extra("a person", goer=goer("x")),),
    )
    # One: back after 1, 2, 3, 4 hours; two: after 1, 1, 2, 2.
    assert answered(storm, 5, draw_of("x")).helps == (Helps("a person", 0, 4.0, 120.0),)


def served_by_trying(meshes) -> tuple[int, list[str]]:
    """The most that can be served, and the first of such sets in order of need."""
    ordered = sorted(meshes, key=lambda one: (not one.safety, len(one.fits), one.code))
    spares = sorted({each.spare for one in meshes for each in one.fits})
    for count in range(min(len(meshes), len(spares)), 0, -1):
        for some in combinations(ordered, count):
            for order in permutations(spares, count):
                if all(
                    any(e.spare == given for e in one.fits) for one, given in zip(some, order, strict=True)
                ):
                    return count, [one.code for one in some]
    return 0, []


@pytest.mark.parametrize("seed", range(30))
def test_spares_go_to_as_many_as_can_be_and_to_the_needy_first(seed):
    draw = Random(seed)
    spares = [f"S-{n}" for n in range(4)]
    meshes = [
        mesh(f"HOME-{n}-A", *(one for one in spares if draw.random() < 0.35), safety=draw.random() < 0.3)
        for n in range(5)
    ]
    found = matched(meshes)
    count, codes = served_by_trying(meshes)
    assert (len(found), sorted(found)) == (count, sorted(codes))
    assert len({each.spare for each in found.values()}) == count


def test_of_two_spares_the_one_with_the_better_verdict_is_taken_where_all_keep_one():
    good, bad = fit("S-1", rank=0), fit("S-2", rank=2)
    free = mesh("HOME-1-A", fits=(bad, good), safety=True)
    assert matched([free])["HOME-1-A"].spare == "S-1"
    needs = mesh("HOME-2-A", fits=(good,))
    assert {code: each.spare for code, each in matched([free, needs]).items()} == {
        "HOME-1-A": "S-2",
        "HOME-2-A": "S-1",
    }


def test_a_case_and_its_answer_come_back_from_plain_values():
    storm = replace(
        book("gale"), extras=(Extra("one", spare("N"), (("X", fit("N")),)), Extra("two", goer=goer("x")))
    )
    storm = replace(storm, meshes=(*storm.meshes, mesh("LOST-1-A", position=None)))
    assert from_data(as_data(storm)) == storm
    answer = answered(storm, 5, draw_of("x"))
    assert answer_from(answer.as_data()) == answer


def test_quantiles_are_values_that_were_seen():
    assert [quantile(range(1, 11), share) for share in (0.5, 0.9, 1.0, 0.01)] == [5, 9, 10, 1]
    assert quantile([], 0.9) is None


def test_the_worlds_are_what_they_say():
    storm = book("gale")
    assert (len(storm.meshes), len(storm.goers), len(storm.spares)) == (20, 3, 6)
    assert (RESTORE.likely, JOINING.likely, TOWN.latitude) == (40, 240, 59.9)
