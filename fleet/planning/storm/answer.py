"""What many runs of a storm come to: who is back when, who is not, and what would help most."""

from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from math import ceil
from random import Random
from typing import Any

from fleet.planning.storm.case import Case, Extra, OutMesh
from fleet.planning.storm.replay import Played

SPARE, PERSON, PLACE, TIME = "spare", "person", "place", "time"
"""What a home that is not back wants for."""
RUNS_OF_EXTRAS = 60
"""For each thing that might help: enough to tell what helps more."""

Back = dict[str, float]
DrawOf = Callable[[int], Random]
Step = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class HomeBack:
    """One home: the minute by which half of the runs, and nine in ten, had all of its meshes back.

    share: of runs in which it came back at all. The minutes are those of these runs, None where there is none. wants:
    empty, or what it wants for, and meshes that do.
    """

    home: str
    safety: bool
    share: float
    p50: float | None
    p90: float | None
    wants: str = ""
    meshes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Helps:
    """One thing more: how many homes more come back, and how many hours without a network it spares all together."""

    label: str
    more_back: int
    spared_hours: float
    p90: float | None


@dataclass(frozen=True, slots=True)
class StormAnswer:
    """Homes in the order of their return, those that do not last; the whole; what helps, the most first.

    p50, p90: when the last of the homes that come back is back.
    """

    homes: tuple[HomeBack, ...]
    p50: float | None
    p90: float | None
    helps: tuple[Helps, ...]
    runs: int

    @property
    def back(self) -> int:
        """Homes that come back in at least half of the runs."""
        return sum(home.share >= 0.5 for home in self.homes)

    def as_data(self) -> dict[str, Any]:
        """As plain JSON values; answer_from gives the same back."""
        return asdict(self)


def answer_from(data: dict[str, Any]) -> StormAnswer:
    """What as_data wrote."""
    homes = tuple(HomeBack(**{**each, "meshes": tuple(each["meshes"])}) for each in data["homes"])
    helps = tuple(Helps(**each) for each in data["helps"])
    return StormAnswer(homes, data["p50"], data["p90"], helps, data["runs"])


def quantile(values: Sequence[float], share: float) -> float | None:
    """The least value that at least this share of them does not exceed; None of none."""
    ordered = sorted(values)
    return ordered[max(ceil(share * len(ordered) - 1e-9), 1) - 1] if ordered else None


def steps(case: Case, runs: int) -> int:
    """How many runs there are in all, for a bar of progress."""
    return runs + len(case.extras) * min(runs, RUNS_OF_EXTRAS)


def answered(case: Case, runs: int, draw_of: DrawOf, step: Step | None = None) -> StormAnswer:
    """The case played `runs` times (1 or more), and what helps tried out with the same draws.

    draw_of: the source of draws for each run, by number; the same number must give the same draws.
    """
    tell = step or (lambda done: None)
    played, done = Played.of(case), 0
    found: list[Back] = []
    for number in range(runs):
        found.append(played.run(draw_of(number)))
        done += 1
        tell(done)
    fewer = min(runs, RUNS_OF_EXTRAS)
    plain, helps = found[:fewer], []
    for extra in case.extras:
        other = Played.of(with_extra(case, extra))
        tried = []
        for number in range(fewer):
            tried.append(other.run(draw_of(number)))
            done += 1
            tell(done)
        helps.append(_helps(case, extra, plain, tried))
    helps.sort(key=lambda each: (-each.more_back, -each.spared_hours, each.label))
    ends = [max(back.values()) for back in found if back]
    homes = tuple(sorted(_homes(case, played, found), key=_by_return))
    return StormAnswer(homes, quantile(ends, 0.5), quantile(ends, 0.9), tuple(helps), runs)


def with_extra(case: Case, extra: Extra) -> Case:
    """The case with that one thing more."""
    if extra.goer is not None:
        return replace(case, goers=(*case.goers, extra.goer))
    if extra.spare is None:
        return case
    fits = dict(extra.fits)
    meshes = tuple(
        replace(mesh, fits=(*mesh.fits, fits[mesh.code])) if mesh.code in fits else mesh
        for mesh in case.meshes
    )
    return replace(case, meshes=meshes, spares=(*case.spares, extra.spare))


def _homes(case: Case, played: Played, found: Sequence[Back]) -> list[HomeBack]:
    by_home: dict[str, list[OutMesh]] = {}
    for mesh in case.meshes:
        by_home.setdefault(mesh.home, []).append(mesh)
    return [_home(home, meshes, played, found) for home, meshes in by_home.items()]


def _home(home: str, meshes: Sequence[OutMesh], played: Played, found: Sequence[Back]) -> HomeBack:
    whole = [back for back in found if all(mesh.code in back for mesh in meshes)]
    ends = [max(back[mesh.code] for mesh in meshes) for back in whole]
    lacking = [mesh for mesh in meshes if any(mesh.code not in back for back in found)]
    wants = next(
        (why for why in (PLACE, SPARE, PERSON, TIME) if any(_want(m, played, found) == why for m in lacking)),
        "",
    )
    return HomeBack(
        home=home,
        safety=any(mesh.safety for mesh in meshes),
        share=len(whole) / len(found),
        p50=quantile(ends, 0.5),
        p90=quantile(ends, 0.9),
        wants=wants,
        meshes=tuple(mesh.code for mesh in lacking),
    )


def _want(mesh: OutMesh, played: Played, found: Sequence[Back]) -> str:
    if mesh.position is None:
        return PLACE
    if mesh.code not in played.fits:
        return SPARE
    return TIME if any(mesh.code in back for back in found) else PERSON


def _by_return(home: HomeBack) -> tuple[bool, float, str]:
    return home.p90 is None or home.share < 0.5, home.p90 or 0.0, home.home


def _helps(case: Case, extra: Extra, plain: Sequence[Back], tried: Sequence[Back]) -> Helps:
    before, after = _count_back(case, plain), _count_back(case, tried)
    spared = (_silent(case, plain) - _silent(case, tried)) / 60
    ends = [max(back.values()) for back in tried if back]
    return Helps(extra.label, after - before, spared, quantile(ends, 0.9))


def _count_back(case: Case, found: Sequence[Back]) -> int:
    """Homes that are back in at least half of these runs."""
    homes = {mesh.home for mesh in case.meshes}
    whole = {
        home: sum(all(m.code in back for m in case.meshes if m.home == home) for back in found)
        for home in homes
    }
    return sum(2 * count >= len(found) for count in whole.values())


def _silent(case: Case, found: Sequence[Back]) -> float:
    """Minutes without a network, over all meshes, of one run on average; one that is not back counts to the horizon."""
    return sum(back.get(mesh.code, case.horizon) for back in found for mesh in case.meshes) / max(
        len(found), 1
    )
