"""What somebody asks of a storm exercise: which homes are out, who goes, which spares, and how many runs."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any

from fleet.planning.storm.case import REST_HOURS, StormError

MOST_HOMES = 60
MOST_KM = 1000.0
MOST_RUNS = 1000
USUAL_HOMES, USUAL_KM, USUAL_RUNS = 20, 25.0, 400
MOST_SEED = 2**31 - 1
MOST_REST_HOURS = 24.0
DAYS = 14
"""Nobody waits longer in an exercise; who is not back by then is not back."""


class Strikes(StrEnum):
    """How the homes that are out are chosen."""

    AROUND = "around"
    MODEL = "model"
    NAMED = "named"
    RANDOM = "random"


@dataclass(frozen=True, slots=True)
class Asked:
    """One question. most: homes at most, the nearest first where the storm is around one, else drawn with the seed.

    people: user names of those who go; places: codes of shelves and vans whose spares count, empty for all. Spares in
    the homes themselves always count.
    """

    strikes: Strikes
    people: tuple[str, ...]
    most: int = USUAL_HOMES
    home: str = ""
    km: float = USUAL_KM
    model: str = ""
    named: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    rest_hours: float = REST_HOURS
    runs: int = USUAL_RUNS
    seed: int = 1

    def __post_init__(self) -> None:
        _within("most", "count of homes", self.most, 1, MOST_HOMES)
        _within("km", "radius in km", self.km, 0, MOST_KM)
        _within("rest_hours", "rest in hours", self.rest_hours, 0, MOST_REST_HOURS)
        _within("runs", "count of runs", self.runs, 10, MOST_RUNS)
        _within("seed", "seed", self.seed, 0, MOST_SEED)
        if self.strikes is Strikes.AROUND and not self.home:
            raise StormError("home", "No home is named; write the code of the home that the storm is around.")
        if self.strikes is Strikes.MODEL and not self.model:
            raise StormError("model", "No type of radio is chosen; choose the one that fails.")
        if self.strikes is Strikes.NAMED and not self.named:
            raise StormError("named", "No home is named; write the codes of homes, such as KELP-7 SALT-9.")
        if len(self.named) > MOST_HOMES:
            raise StormError("named", f"{len(self.named)} homes are named; name {MOST_HOMES} at most.")

    @property
    def words(self) -> str:
        """What strikes, in one phrase."""
        homes = "1 home" if self.most == 1 else f"{self.most} homes"
        return {
            Strikes.AROUND: f"{homes} at most within {self.km:g} km of {self.home}",
            Strikes.MODEL: f"{homes} at most with a radio of the type {self.model}",
            Strikes.NAMED: f"the homes {', '.join(self.named[:5])}{', ...' if len(self.named) > 5 else ''}",
            Strikes.RANDOM: f"{homes} at random",
        }[self.strikes]


def as_data(asked: Asked) -> dict[str, Any]:
    """As plain JSON values; from_data gives the same back."""
    return asdict(asked)


def from_data(data: Mapping[str, Any]) -> Asked:
    """What as_data wrote."""
    lists = {name: tuple(data[name]) for name in ("people", "named", "places")}
    return Asked(**{**data, **lists, "strikes": Strikes(data["strikes"])})


def _within(field: str, name: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:
        # A whole number of hundreds of digits has no float to be written as.
        shown = f"{value:g}" if -1e15 < value < 1e15 else f"{str(value)[:20]}..."
        raise StormError(field, f"The {name} is {shown}; write {least:g} to {most:g}.")
