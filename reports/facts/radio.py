"""The head radio (the mesh's coordinator) and the spare that can take over from it."""

from dataclasses import dataclass
from datetime import date

from fleet.planning.hindrance import Against
from fleet.planning.sentences import Sentence
from reports.facts.fixed import Text
from reports.facts.head import Photo


@dataclass(frozen=True, slots=True)
class HeadRadio:
    """One head radio where it stands.

    `mesh_code` is written with its check character. Addresses are 16 upper-case hex digits; `factory_address` is
    the one on the label, `carried_address` the one it speaks with. `power_dbm` is its transmit power.
    `stops` lists what stops in the house when this radio stops.
    """

    mesh_code: str
    model: str | None = None
    family: str | None = None
    factory_address: str | None = None
    carried_address: str | None = None
    serial: str | None = None
    firmware: str | None = None
    connection: Text | None = None
    power_dbm: int | None = None
    region: str | None = None
    place: str | None = None
    feed: str | None = None
    breaker: str | None = None
    photo: Photo | None = None
    stops: tuple[Text, ...] | None = None


@dataclass(frozen=True, slots=True)
class Spare:
    """The spare radio meant for this mesh, the verdict on the pair (trade words: clean, converts, partly, no,
    untested) and the proof that it is blank."""

    model: str
    serial: str | None = None
    where: str | None = None
    firmware: str | None = None
    verdict: Text | None = None
    verdict_on: date | None = None
    blank_by: str | None = None
    blank_on: date | None = None


@dataclass(frozen=True, slots=True)
class NotToTake:
    """A radio that was weighed for this mesh and does not count. `because` is the rule that it breaks, where it does
    not fit; `away_minutes` is the likely way from where it lies, `promised_minutes` the time agreed."""

    code: str
    model: str
    against: tuple[Against, ...]
    where: str | None = None
    firmware: str | None = None
    because: Sentence | None = None
    away_minutes: int | None = None
    promised_minutes: int | None = None
