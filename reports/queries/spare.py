"""The spare of a mesh as the gates take it, how long it takes to bring the mesh back, or what must not be taken."""

from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.models import Mesh, Radio
from fleet.planning.estimating import ThreePoints
from fleet.planning.readiness import SpareFacts, assess, hindrances
from fleet.queries.costs import LONGEST_DRIVE_MINUTES
from fleet.queries.readiness import Judged
from fleet.queries.spares import SpareShelf, Standby
from reports.facts.radio import NotToTake, Spare
from reports.facts.recovery import Taking
from reports.facts.terms import VERDICTS
from sites.models import Site

Taken = tuple[SpareFacts, Standby]


def taken(case: Judged, shelf: SpareShelf) -> Taken | None:
    """The spare that the gates take. None where no spare counts: no other radio is offered in its place."""
    code = assess(case.facts).spare
    weighed = next((each for each in case.facts.spares if each.code == code), None)
    return (weighed, _standby(weighed, shelf)) if weighed else None


def spare_facts(spare: Taken, site: Site, now: datetime) -> Spare:
    """What the sheet says of it."""
    weighed, standby = spare
    row, zone = standby.row, ZoneInfo(site.time_zone)
    return Spare(
        model=str(row.model),
        serial=row.serial,
        where=_where(row),
        firmware=row.firmware.version if row.firmware else None,
        verdict=VERDICTS[weighed.verdict],
        verdict_on=now.astimezone(zone).date(),
        blank_by=row.blank_proven_by or None,
        blank_on=row.blank_proven_at.astimezone(zone).date() if row.blank_proven_at else None,
    )


def taking(spare: Taken, mesh: Mesh, shelf: SpareShelf) -> Taking | None:
    """The estimate by which the gates judge, told as the page of the mesh tells it."""
    weighed, standby = spare
    return taking_of(weighed.restore_minutes, shelf.way(standby, mesh))


def taking_of(minutes: ThreePoints | None, way: ThreePoints | None) -> Taking | None:
    """minutes: of everything, the way included. A spare that nobody would fetch by car is sent ahead."""
    if minutes is None or way is None:
        return None
    sent = way.likely > LONGEST_DRIVE_MINUTES
    told = minutes.without(way) if sent else minutes
    return Taking(round(told.low), round(told.likely), round(told.high), round(way.likely), sent)


def not_to_take(case: Judged, shelf: SpareShelf) -> tuple[NotToTake, ...]:
    """Every radio that was weighed, with what keeps it from counting: asked where none counts."""
    promised = case.facts.promised_time_hours
    return tuple(
        _refused(each, _standby(each, shelf).row, case, None if promised is None else round(promised * 60))
        for each in case.facts.spares
    )


def _refused(weighed: SpareFacts, row: Radio, case: Judged, promised_minutes: int | None) -> NotToTake:
    return NotToTake(
        code=row.code,
        model=str(row.model),
        against=tuple(each.against for each in hindrances(weighed, case.facts)),
        where=_where(row),
        firmware=weighed.firmware,
        because=weighed.verdict_why,
        away_minutes=None if weighed.reach_minutes is None else round(weighed.reach_minutes),
        promised_minutes=promised_minutes,
    )


def _standby(weighed: SpareFacts, shelf: SpareShelf) -> Standby:
    return next(each for each in shelf.spares if each.row.code == weighed.code)


def _where(radio: Radio) -> str | None:
    return ": ".join(part for part in (radio.place.name if radio.place else "", radio.spot) if part) or None
