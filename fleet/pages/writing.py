"""Tags and filters for every template: how times, addresses, ages and names are written.

Loaded as a builtin (see TEMPLATES in fleet.config.settings), so templates need no load line for it.
"""

import re
from datetime import date, datetime, timedelta
from decimal import Decimal
from math import ceil
from zoneinfo import ZoneInfo

from django import template
from django.template.context import RequestContext
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe

from fleet.mesh import codes
from fleet.mesh.addresses import show_eui64, show_short
from fleet.models import EvidenceKind, Mesh
from fleet.planning.copy_calendar import DayMark
from fleet.planning.counter_course import Turn
from fleet.planning.freshness import age_in_words
from fleet.planning.readiness import GateName, GateResult
from sites import access

register = template.Library()

FOR_ALL = (
    ("board", "Board"),
    ("clients", "Clients"),
    ("replacements", "Replacements"),
    ("tray", "Tray"),
)
FOR_THE_BOOK = (
    ("papers", "Papers"),
    ("visits", "Visits"),
    ("plans", "Plans"),
    ("shelf", "Shelves and vans"),
    ("firmware", "Firmware"),
    ("failures", "How radios fail"),
    ("drills", "Drills"),
    ("next-swaps", "Next swaps"),
    ("leavings", "Leaving"),
    ("keep-rules", "Keep rules"),
    ("rounds", "Rounds"),
    ("journal", "Journal"),
)
FOR_ONESELF = (("people", "People"),)
FOR_THE_OFFICE = (
    ("months", "Owner's papers"),
    ("what-if", "What if"),
    ("storm", "Storm"),
    ("messages", "Messages"),
)
ALWAYS_SHOWN = 5
"""Places at the head of every page; the rest lie behind one press, or a phone would show nothing else."""
GATES = {
    GateName.BASICS: "What must be known",
    GateName.SNAPSHOT: "A sound copy",
    GateName.SPARE: "A spare that counts",
    GateName.FRESH: "Fresh enough",
    GateName.SEEN_LIVE: "Seen live",
    GateName.DRILL: "Drilled in time",
    GateName.TESTED: "Pair tested",
    GateName.IN_TIME: "Within the promised time",
    GateName.NO_HANDWORK: "Without handwork",
}
RESULTS = {GateResult.PASS: "passed", GateResult.FAIL: "failed", GateResult.UNKNOWN: "not known"}
DAYS = {
    DayMark.SOUND: "sound and fresh",
    DayMark.STALE: "sound, stale by now",
    DayMark.LOCKED_OUT: "sound, locked out since",
    DayMark.HELD: "held",
    DayMark.GONE: "erased since",
    DayMark.NONE: "no copy",
}
TURNS = {Turn.FELL: "fell", Turn.LEAPT: "leapt", Turn.GIVEN_TOO_LOW: "given too low"}
CODES = re.compile(r"\b[A-Z][A-Z0-9]*-[0-9]+(?:-[A-Z0-9])?\b")  # of homes, meshes, radios and sheets
HOLDS = {
    "last sound": "last sound copy",
    "last seen live": "last copy that was seen live",
    "last proven": "last proven copy",
    "kept by hand": "kept by hand, see below",
}
HOURS_FROM = 180
EXACT_TO = 24 * 60
DAYS_FROM = 72 * 60
UTC_NAMES = frozenset({"UTC", "Etc/UTC"})


@register.simple_tag
def when(moment: datetime | None, zone: str = "UTC") -> SafeString | str:
    """A moment on the home's clock, with UTC beside it: "25 Nov 2026, 11:15 Oslo (10:15 UTC)"."""
    if moment is None:
        return "never"
    utc = moment.astimezone(ZoneInfo("UTC"))
    if zone in UTC_NAMES:
        return format_html('<time datetime="{}">{} UTC</time>', utc.isoformat(), _day_and_time(utc))
    there = moment.astimezone(ZoneInfo(zone))
    other = date_format(utc, "H:i") if utc.date() == there.date() else date_format(utc, "j M H:i")
    return format_html(
        '<time datetime="{}">{}</time> <span class="beside">{} ({} UTC)</span>',
        utc.isoformat(),
        _day_and_time(there),
        zone.rpartition("/")[2].replace("_", " "),
        other,
    )


@register.filter
def in_zone(moment: datetime, zone: str) -> str:
    """The hour and minute on a home's clock."""
    return date_format(moment.astimezone(ZoneInfo(zone)), "H:i")


@register.filter
def day_in(moment: datetime, zone: str) -> str:
    """The day at a place, for what has no hour: "28 Nov 2026"."""
    return date_format(moment.astimezone(ZoneInfo(zone)), "j M Y")


def _day_and_time(moment: datetime) -> str:
    return date_format(moment, "j M Y, H:i")


@register.filter
def days_later(moment: datetime, days: int) -> datetime:
    """So many times 24 hours later."""
    return moment + timedelta(days=days)


@register.filter
def age_at(moment: datetime | None, now: datetime) -> str:
    """How long before `now`, in whole units completed: "40 minutes", "26 hours", "70 days"."""
    if moment is None:
        return "none"
    age = now - moment
    return "dated ahead of our clock" if age < timedelta(0) else age_in_words(age / timedelta(hours=1))


@register.filter
def spell(minutes: int) -> str:
    """Minutes as people say them: "45 min"; from three hours on "3 h 12 min", the same time as on paper.

    From a day on they are rounded up: "48 h", and from three days on "14 days".
    """
    if minutes < HOURS_FROM:
        return f"{minutes} min"
    if minutes < EXACT_TO:
        hours, rest = divmod(minutes, 60)
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    return f"{-(-minutes // 60)} h" if minutes < DAYS_FROM else f"{-(-minutes // 1440)} days"


@register.simple_tag
def likely_span(low: float, likely: float, high: float) -> SafeString:
    """A likely time with its range in one style, so that no two read as a sum: "4 h (2 h 21 min to 8 h)"."""
    said = (_spelled_beside(round(value), round(high)) for value in (likely, low, high))
    return format_html('<strong>{}</strong> <span class="beside">({} to {})</span>', *said)


@register.filter
def back_in(mesh: Mesh) -> SafeString | str:
    """How long it takes to bring a mesh back, as the last round found it: likely, with the range."""
    if mesh.minutes_likely is None:
        return "not known"
    if mesh.minutes_low is None:
        return format_html("<strong>{}</strong>", spell(mesh.minutes_likely))
    return likely_span(mesh.minutes_low, mesh.minutes_likely, mesh.minutes_high)


def _spelled_beside(minutes: int, widest: int) -> str:
    """Over an hour in hours and minutes where the widest of the range is told in hours or more."""
    if widest < HOURS_FROM or not 60 <= minutes < HOURS_FROM:
        return spell(minutes)
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest} min" if rest else f"{hours} h"


@register.filter
def minutes(value: float) -> str:
    """Minutes of an estimate, as spell writes them."""
    return spell(round(value))


@register.filter
def money(amount: Decimal, currency: str) -> str:
    """An amount with its currency: "1,250.00 EUR"."""
    return f"{amount:,} {currency}"


@register.filter
def chance(share: float) -> str:
    """A share from 0 to 1 with one place: "18.5 %"."""
    return f"{share * 100:.1f} %"


@register.filter
def lasting(seconds: int | None) -> str:
    """A span in the unit that spell would use, rounded up to whole minutes."""
    return "not known" if seconds is None else spell(-(-seconds // 60))


@register.filter
def lasting_of(seconds: float) -> str:
    """As lasting, for seconds with a fraction."""
    return lasting(ceil(seconds))


@register.filter
def more_or_less(minutes: int) -> str:
    """A change of minutes in words: "12 min more", "3 h less", "no change"."""
    if not minutes:
        return "no change"
    return f"{spell(abs(minutes))} {'more' if minutes > 0 else 'less'}"


@register.filter
def percent_over(share: float) -> str:
    """A share over a bound as whole percent, rounded up: what may be gained is never understated."""
    return f"{ceil(share * 100 - 1e-9)} %"


@register.filter
def grouped(address: str | None) -> SafeString | str:
    """Sixteen hex digits by fours, in the face for identifiers."""
    return format_html('<code class="id">{}</code>', show_eui64(address)) if address else "not known"


@register.filter
def hex16(value: int | None) -> SafeString | str:
    """A short address or PAN ID as 0x1A2B."""
    return format_html('<code class="id">{}</code>', show_short(value)) if value is not None else "not known"


@register.filter
def digest(value: str) -> SafeString:
    """A SHA-256 by eights, so that it breaks at 360 px and can be compared by eye."""
    return format_html(
        '<code class="id">{}</code>', " ".join(value[at : at + 8] for at in range(0, len(value), 8))
    )


@register.filter
def on_paper(code: str) -> str:
    """A home or mesh code with its check character, as sheets print it: KELP-7-A/Q."""
    return codes.with_check(code)


@register.filter
def counted(value: int | None) -> str:
    """A large count in groups of three."""
    return "not known" if value is None else f"{value:,}"


@register.filter
def of_hundred(rate: float | None) -> str:
    """Failures a radio-year as so many in 100 radio-years, with two places: a bound never reads as nothing."""
    return "not known" if rate is None else f"{rate * 100:.2f}"


@register.filter
def percent(share: float | None) -> str:
    """A share from 0 to 1 as whole percent, rounded down: room is never overstated."""
    return "not known" if share is None else f"{int(share * 100)} %"


@register.filter
def share_used(share: float) -> str:
    """A share from 0 to 1 as percent, rounded up: use is never understated."""
    percents = ceil(share * 1000) / 10
    return f"{percents:g} %" if percents < 10 else f"{ceil(percents)} %"


@register.filter
def spoken(word: str) -> str:
    """A stored word as people say it: "covered_with_handwork" is covered with handwork."""
    return str(word).replace("_", " ")


@register.filter
def spoken_hold(hold: str) -> str:
    """What holds a copy, as a sentence has it: "day 2027-03-26" is latest of the day 26 Mar 2027."""
    kind, _, which = hold.partition(" ")
    try:
        if kind == "day":
            return f"latest of the day {date_format(date.fromisoformat(which), 'j M Y')}"
        if kind == "week":
            year, _, week = which.partition("-W")
            return f"latest of ISO week {int(week)} of {int(year)}"
        if kind == "month":
            return f"latest of {date_format(date.fromisoformat(f'{which}-01'), 'F Y')}"
        return f"latest of the year {int(which)}" if kind == "year" else HOLDS.get(hold, hold)
    except ValueError:
        return hold


@register.filter
def spoken_gate(name: GateName) -> str:
    """A gate of readiness in words."""
    return GATES[name]


@register.filter
def spoken_result(result: GateResult) -> str:
    """What became of a gate."""
    return RESULTS[result]


@register.filter
def spoken_day(mark: DayMark) -> str:
    """What the best copy of a day is good for."""
    return DAYS[mark]


@register.filter
def spoken_turn(turn: Turn) -> str:
    """How a line breaks the course of a counter."""
    return TURNS[turn]


@register.filter
def spoken_evidence(kind: str) -> str:
    """Where a counter value comes from."""
    return EvidenceKind(kind).label.lower()


@register.filter
def rounded(value: int) -> str:
    """A round number of an axis: "500,000", "20 million", "4.29 billion"."""
    for size, word in ((1_000_000_000, "billion"), (1_000_000, "million")):
        if value >= size:
            return f"{value / size:g} {word}"
    return f"{value:,}"


@register.filter
def about(day: date, now: datetime) -> str:
    """A day to come, as exactly as it can be meant: to the year from the third year on, to the month before."""
    return date_format(day, "Y" if day.year - now.year > 2 else "F Y")


@register.filter
def sentence(text: str) -> SafeString:
    """A sentence whose codes are not broken over two lines. Text that is markup already is left alone."""
    if isinstance(text, SafeString):
        return text
    return mark_safe(CODES.sub(r'<span class="whole">\g<0></span>', escape(text)))


@register.filter
def plain(value: object) -> str:
    """A journal detail: lists as words with commas."""
    return ", ".join(str(part) for part in value) if isinstance(value, list) else str(value)


@register.simple_tag(takes_context=True)
def navigation(context: RequestContext) -> dict[str, list[dict[str, object]]]:
    """The lists that are open to the reader, with the one they are in marked: those always shown, and the rest."""
    request = context.get("request")
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {}
    today = timezone.localdate()
    names = FOR_ALL + (FOR_THE_BOOK if access.sees_whole_book(person, today) else ())
    names += () if access.has_ended(person, today) else FOR_ONESELF
    names += FOR_THE_OFFICE if access.may_decide(person, today) else ()
    places = [
        {"address": reverse(name), "label": label, "here": request.path == reverse(name)}
        for name, label in names
    ]
    return {"first": places[:ALWAYS_SHOWN], "rest": places[ALWAYS_SHOWN:]}
