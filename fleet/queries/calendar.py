"""The copies of a mesh by the days of its home."""

from datetime import date, datetime, time
from uuid import UUID
from zoneinfo import ZoneInfo

from fleet.models import JUDGED_GRADES, Currency, Custody, Mesh
from fleet.planning.copy_calendar import CopyCalendar, DatedCopy, DayMark, calendar_of, first_shown

_MARKS = {
    Currency.FRESH: DayMark.SOUND,
    Currency.STALE: DayMark.STALE,
    Currency.LOCKED_OUT: DayMark.LOCKED_OUT,
}


def calendar_for(mesh: Mesh, now: datetime) -> CopyCalendar[UUID]:
    """Thirteen months up to now on the home's own clock, two statements whatever they hold."""
    zone = ZoneInfo(mesh.site.time_zone)
    today = now.astimezone(zone).date()
    begins = datetime.combine(first_shown(today), time.min, zone)
    rows = mesh.snapshots.filter(taken_at__gte=begins).order_by("taken_at", "id")
    copies = [
        DatedCopy(uid, taken_at, _mark(grade, currency, custody), grade in JUDGED_GRADES)
        for uid, taken_at, grade, currency, custody in rows.values_list(
            "uid", "taken_at", "grade", "currency", "custody"
        )
    ]
    return calendar_of(copies, zone, today, _sound_before(mesh, begins, zone))


def _sound_before(mesh: Mesh, begins: datetime, zone: ZoneInfo) -> date | None:
    earlier = mesh.snapshots.filter(taken_at__lt=begins, grade__in=JUDGED_GRADES).order_by("-taken_at")
    last = earlier.values_list("taken_at", flat=True).first()
    return last.astimezone(zone).date() if last else None


def _mark(grade: str, currency: str, custody: str) -> DayMark:
    if custody == Custody.GONE:
        return DayMark.GONE
    return _MARKS.get(Currency(currency), DayMark.HELD)
