"""What a storm exercise is given: meshes that are out, spares that fit, and people with their hours.

Minutes count from the moment the storm strikes. Nothing here holds a secret, so that a case can be kept as it was.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from fleet.planning.estimating import ThreePoints
from fleet.planning.reach import Position

REST_HOURS = 11.0
"""Between two days of work (Directive 2003/88/EC, article 3; recalled)."""


class StormError(ValueError):
    """Something asked that cannot be; field says where it was typed, the sentence what would be right."""

    def __init__(self, field: str, sentence: str) -> None:
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, slots=True)
class Fit:
    """One spare that could take over one mesh. works: chance that a restore onto it works, a lower bound.

    restore: minutes at the home, no way in them; None where there is no copy to write. left: share of all joining that
    a restore leaves to be done by hand. rank: 0 is the best verdict; ways_minutes: likely, from where it lies.
    """

    spare: str
    works: float
    restore: ThreePoints | None
    left: float
    rank: int
    way_minutes: float = 0.0


@dataclass(frozen=True, slots=True)
class OutMesh:
    """One mesh without a network. joining: minutes of joining all its devices by hand; people: how many must go."""

    code: str
    home: str
    position: Position | None
    safety: bool
    people: int
    joining: ThreePoints
    family: str = ""
    fits: tuple[Fit, ...] = ()


@dataclass(frozen=True, slots=True)
class StormSpare:
    """One spare. holder: who has it in their van and goes out; it then goes where they go, and nobody else takes it.

    home: it lies in that home. Otherwise whoever needs it fetches it where it lies.
    """

    code: str
    family: str
    position: Position
    holder: str = ""
    home: str = ""


@dataclass(frozen=True, slots=True)
class Goer:
    """Somebody who goes out, from a base, in shifts (begin and end in minutes, in order; the first may have begun)."""

    code: str
    name: str
    base: Position
    shifts: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Extra:
    """One thing more that might help: a spare with the meshes that it fits, or a person."""

    label: str
    spare: StormSpare | None = None
    fits: tuple[tuple[str, Fit], ...] = ()
    goer: Goer | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """Everything that a run needs but the draws. horizon: minutes after which nobody waits any more.

    longest_way: likely minutes that somebody drives from their base to a home at most.
    """

    meshes: tuple[OutMesh, ...]
    spares: tuple[StormSpare, ...]
    goers: tuple[Goer, ...]
    extras: tuple[Extra, ...] = ()
    rest_minutes: float = REST_HOURS * 60
    longest_way: float = 600.0
    horizon: float = 14 * 1440.0


def as_data(case: Case) -> dict[str, Any]:
    """As plain JSON values; from_data gives the same back."""
    return asdict(case)


def from_data(data: Mapping[str, Any]) -> Case:
    """What as_data wrote."""
    return Case(
        meshes=tuple(map(_mesh, data["meshes"])),
        spares=tuple(map(_spare, data["spares"])),
        goers=tuple(map(_goer, data["goers"])),
        extras=tuple(map(_extra, data["extras"])),
        rest_minutes=data["rest_minutes"],
        longest_way=data["longest_way"],
        horizon=data["horizon"],
    )


def _points(data: Mapping[str, float]) -> ThreePoints:
    return ThreePoints(data["low"], data["likely"], data["high"])


def _position(data: Mapping[str, float]) -> Position:
    return Position(data["latitude"], data["longitude"])


def _fit(data: Mapping[str, Any]) -> Fit:
    return Fit(**{**data, "restore": _points(data["restore"]) if data["restore"] else None})


def _mesh(data: Mapping[str, Any]) -> OutMesh:
    given = {
        "position": _position(data["position"]) if data["position"] else None,
        "joining": _points(data["joining"]),
        "fits": tuple(map(_fit, data["fits"])),
    }
    return OutMesh(**{**data, **given})


def _spare(data: Mapping[str, Any]) -> StormSpare:
    return StormSpare(**{**data, "position": _position(data["position"])})


def _goer(data: Mapping[str, Any]) -> Goer:
    shifts = tuple((begin, end) for begin, end in data["shifts"])
    return Goer(**{**data, "base": _position(data["base"]), "shifts": shifts})


def _extra(data: Mapping[str, Any]) -> Extra:
    return Extra(
        label=data["label"],
        spare=_spare(data["spare"]) if data["spare"] else None,
        fits=tuple((code, _fit(fit)) for code, fit in data["fits"]),
        goer=_goer(data["goer"]) if data["goer"] else None,
    )
