"""What is supposed, and what it comes to, in words: the same on the page, in the terminal and in a list of answers."""

from collections.abc import Mapping, Sequence
from math import ceil

from fleet.planning.freshness import span_in_words
from fleet.planning.readiness import State
from fleet.planning.supposed_stays import FAR, NO_FIT
from fleet.planning.supposed_tally import Move, RateUsed, Tally, hours_differ
from fleet.planning.supposing import AddedSpare, Supposition

ARROW = " \N{RIGHTWARDS ARROW} "


def in_words(change: Supposition, names: Mapping[str, str]) -> str:
    """What is supposed: "2 more Cedar C3 R3.14 at Workshop and a drill every 182 days".

    names: what people call models and places, by code; a code without a name stands for itself.
    """
    parts = [_added(each, names) for each in change.added]
    if change.taken:
        parts.append(f"{listed(change.taken)} gone")
    if change.drill_days is not None:
        parts.append(f"a drill every {_counted(change.drill_days, 'day')}")
    if change.point_hours is not None:
        parts.append(f"a recovery point of {_counted(change.point_hours, 'hour')}")
    for each in change.policies:
        policy = "on hold" if each.policy == "hold" else str(each.policy)
        parts.append(f"{names.get(each.model, each.model)} {each.version} {policy}")
    return listed(parts) or "nothing changed"


def headline(words: str, tally: Tally) -> str:
    """The answer in one sentence: who changes state, and the hours of a year before and after."""
    return f"With {words}, {moved(tally)}; {hours(tally)}."


def moved(tally: Tally) -> str:
    """ "1 mesh is no longer bare", "2 meshes become thin", or that none changes state."""
    better = [move for move in tally.all_moves if move.better]
    worse = [move for move in tally.all_moves if move.worse]
    said = [_left(better)] if better else []
    said += [_entered(worse)] if worse else []
    return listed(said) or f"no mesh changes state{_why_none(tally)}"


def _why_none(tally: Tally) -> str:
    """Why no mesh changes state, where the gates tell: the most frequent reason first."""
    if tally.meshes and all(move.was is State.COVERED for move in tally.staying):
        return ": every one is covered already"
    reasons = sorted(tally.kept_back.items(), key=lambda pair: (-pair[1], pair[0]))
    told = listed([_keeps(why, count, tally.nearest_minutes) for why, count in reasons])
    return f": {told}" if told else ""


def _keeps(why: str, count: int, minutes: float | None) -> str:
    if why == FAR and minutes is not None:
        return f"the nearest added spare is {span_in_words(minutes / 60)} away from {_lacking(count)}"
    if why == NO_FIT:
        return f"no added spare fits {_lacking(count)}"
    fail = "fails a gate that this does not lift" if count == 1 else "fail a gate that this does not lift"
    return f"{meshes(count)} {fail} ({why[:1].lower()}{why[1:]})"


def _lacking(count: int) -> str:
    return "the mesh that lacks one" if count == 1 else f"the {count:,} meshes that lack one"


def hours(tally: Tally) -> str:
    """ "12.4 → 9.1 hours of outage expected a year"."""
    if not tally.counted:
        return "no hours of outage can be counted"
    before, after = tally.hours_before, tally.hours_after
    if not hours_differ(before, after):
        return f"{figure(before)} hours of outage expected a year, as before"
    return f"{ARROW.join(told_apart(before, after))} hours of outage expected a year"


def told_apart(before: float, after: float) -> tuple[str, str]:
    """Both figures with as many places as show that they differ."""
    for places in range(1, 7):
        pair = figure(before, places), figure(after, places)
        if pair[0] != pair[1]:
            break
    return pair


def figure(value: float, places: int = 1) -> str:
    """Hours, or whatever else, in groups of three; what is more than nothing is never written as nothing."""
    while value and not float(f"{value:.{places}f}") and places < 6:
        places += 1
    return f"{value:,.{places}f}"


def at_most(value: float) -> str:
    """A bound: rounded up, so that it is never understated, and never written as nothing."""
    places = len(figure(value).partition(".")[2]) + (value < 1)
    scale = 10**places
    return f"{ceil(value * scale - 1e-9) / scale:,.{places}f}"


def rate_in_words(rate: RateUsed) -> str:
    """ "family R: 0 failed in 120.0 radio-years, so at most 2.5 of 100 a year"."""
    few = " (few years: the bound is wide)" if rate.few else ""
    years = figure(rate.years)
    return (
        f"{rate.of}: {rate.failures:,} failed in {years} radio-years, so at most {at_most(rate.of_hundred)} "
        f"of 100 a year{few}"
    )


def meshes(count: int) -> str:
    return "1 mesh" if count == 1 else f"{count:,} meshes"


def listed(parts: Sequence[str]) -> str:
    """ "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _added(each: AddedSpare, names: Mapping[str, str]) -> str:
    model, place = names.get(each.model, each.model), names.get(each.place, each.place)
    return f"{each.count} more {model} {each.version} at {place}"


def _left(moves: list[Move]) -> str:
    count, states = sum(move.meshes for move in moves), {move.was for move in moves}
    verb = "is" if count == 1 else "are"
    if len(states) == 1:
        return f"{meshes(count)} {verb} no longer {next(iter(states)).words}"
    return f"{meshes(count)} {verb} better off"


def _entered(moves: list[Move]) -> str:
    count, states = sum(move.meshes for move in moves), {move.becomes for move in moves}
    if len(states) == 1:
        return f"{meshes(count)} {'becomes' if count == 1 else 'become'} {next(iter(states)).words}"
    return f"{meshes(count)} {'is' if count == 1 else 'are'} worse off"


def staying(tally: Tally) -> str:
    """The meshes that stay in their state, in one line: "2 bare, 1 thin and 9 covered"."""
    return listed([f"{move.meshes:,} {State(move.was).words}" for move in tally.staying])


def _counted(value: int, unit: str) -> str:
    return f"{value:,} {unit}" if value == 1 else f"{value:,} {unit}s"
