"""A technician's visits as a calendar that phones subscribe to (RFC 5545, RFC 7986).

Times are in UTC, so that no reader needs to know a zone's rules; what the clock at the home shows stands in the
description. An event can say no more than what is in `Event`: no address, no code to get in, no key has a place here.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from fleet.planning.visits.plan import Plan
from fleet.planning.visits.request import Request
from fleet.planning.visits.span import VisitError, aware

LINE_OCTETS = 75
REFRESH_HOURS = 1


@dataclass(frozen=True, slots=True)
class Event:
    """One visit: a uid that never changes, a sequence that grows with each change of what it says.

    work are short words, such as swap or a task's code; with_whom the second person's code.
    """

    uid: str
    sequence: int
    home: str
    work: tuple[str, ...]
    begin: datetime
    end: datetime
    zone: ZoneInfo
    with_whom: str | None = None
    cancelled: bool = False

    def __post_init__(self) -> None:
        if aware(self.end, f"end of event {self.uid}") <= aware(self.begin, f"begin of event {self.uid}"):
            raise VisitError(f"The event {self.uid} ends at {self.end}; it must end after {self.begin}.")


def events_of(request: Request, plan: Plan, technician: str, domain: str) -> list[Event]:
    """What a plan has for one technician; the uid of a visit is the same in every plan and ends in the domain."""
    return [
        Event(
            f"{stop.visit}.{technician}@{domain}",
            0,
            stop.home,
            request.visit(stop.visit).tasks,
            stop.begin,
            stop.end,
            request.visit(stop.visit).zone,
            stop.with_whom,
        )
        for day, stop in plan.stops
        if day.technician == technician
    ]


def carried_on(before: Iterable[Event], now: Iterable[Event]) -> list[Event]:
    """The events of a new plan with the sequences of those told before: one higher for each that says something else.

    An event that is gone stays, cancelled, as else some phones would go on showing it.
    """
    known = {event.uid: event for event in before}
    found = []
    for event in now:
        old = known.pop(event.uid, None)
        if old is None:
            found.append(event)
            continue
        same = replace(event, sequence=old.sequence)
        found.append(same if same == old else replace(event, sequence=old.sequence + 1))
    gone = (
        event if event.cancelled else replace(event, cancelled=True, sequence=event.sequence + 1)
        for event in known.values()
    )
    return sorted([*found, *gone], key=lambda event: (event.begin, event.uid))


def feed(name: str, maker: str, events: Iterable[Event], stamp: datetime) -> str:
    """The calendar's text for one technician, lines folded and ended as RFC 5545 section 3.1 asks.

    name is what phones call it, maker names the program that wrote it; stamp, an aware time, goes into every event.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{_text(maker)}",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"NAME:{_text(name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:PT{REFRESH_HOURS}H",
    ]
    for event in events:
        lines += _lines(event, aware(stamp, "stamp of the feed"))
    return "".join(f"{line}\r\n" for whole in [*lines, "END:VCALENDAR"] for line in _folded(whole))


def _lines(event: Event, stamp: datetime) -> list[str]:
    there = event.begin.astimezone(event.zone)
    words = [f"{there:%Y-%m-%d %H:%M} at the home ({event.zone.key})"]
    words += [f"Together with {event.with_whom}"] if event.with_whom else []
    return [
        "BEGIN:VEVENT",
        f"UID:{_text(event.uid)}",
        f"DTSTAMP:{_utc(stamp)}",
        f"SEQUENCE:{event.sequence}",
        f"DTSTART:{_utc(event.begin)}",
        f"DTEND:{_utc(event.end)}",
        f"SUMMARY:{_text(' '.join([event.home, ', '.join(event.work)]).strip())}",
        f"DESCRIPTION:{_text('. '.join(words) + '.')}",
        f"STATUS:{'CANCELLED' if event.cancelled else 'CONFIRMED'}",
        "CLASS:PRIVATE",
        "TRANSP:OPAQUE",
        "END:VEVENT",
    ]


def _utc(moment: datetime) -> str:
    return f"{moment.astimezone(UTC):%Y%m%dT%H%M%SZ}"


def _text(value: str) -> str:
    """A TEXT value, section 3.3.11; letters that control a terminal or a line have no place in it."""
    clean = "".join(letter for letter in value if letter.isprintable() or letter == "\n")
    return clean.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")


def _folded(line: str) -> Iterator[str]:
    """Lines of at most 75 octets, a letter never torn, each after the first with a blank before it."""
    part, size = "", 0
    for letter in line:
        octets = len(letter.encode())
        if size + octets > LINE_OCTETS:
            yield part
            part, size = " ", 1
        part, size = part + letter, size + octets
    yield part
