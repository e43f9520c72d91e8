"""Tags and filters for every template: how times, addresses, ages and names are written.

Loaded as a builtin (see TEMPLATES in fleet.config.settings), so templates need no load line for it.
"""

import re
from datetime import datetime, timedelta
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
from fleet.planning.readiness import GateName, GateResult
from sites import access

register = template.Library()

FOR_ALL = (("board", "Board"), ("clients", "Clients"), ("tray", "Tray"))
FOR_THE_BOOK = (("rounds", "Rounds"), ("journal", "Journal"))
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
CODES = re.compile(r"\b[A-Z][A-Z0-9]*-[0-9]+(?:-[A-Z0-9])?\b")  # of homes, meshes, radios and sheets
HOURS_FROM = 180
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


def _day_and_time(moment: datetime) -> str:
    return date_format(moment, "j M Y, H:i")


@register.filter
def age_at(moment: datetime | None, now: datetime) -> str:
    """How long before `now`, in the unit that a person would use: "40 minutes", "26 hours", "71 days"."""
    if moment is None:
        return "none"
    age = now - moment
    if age < timedelta(0):
        return "dated ahead of our clock"
    for size, unit, most in ((60, "minute", 120), (3600, "hour", 48), (86400, "day", None)):
        count = int(age.total_seconds() // size)
        if most is None or count < most:
            return f"{count} {unit}{'' if count == 1 else 's'}" if count else f"under a {unit}"
    return ""


@register.filter
def spell(minutes: int) -> str:
    """Minutes as people say them: "45 min"; from three hours on in whole hours, rounded up: "48 h"."""
    return f"{minutes} min" if minutes < HOURS_FROM else f"{-(-minutes // 60)} h"


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
def percent(share: float | None) -> str:
    """A share from 0 to 1 as whole percent, rounded down: room is never overstated."""
    return "not known" if share is None else f"{int(share * 100)} %"


@register.filter
def spoken(word: str) -> str:
    """A stored word as people say it: "covered_with_handwork" is covered with handwork."""
    return str(word).replace("_", " ")


@register.filter
def spoken_gate(name: GateName) -> str:
    """A gate of readiness in words."""
    return GATES[name]


@register.filter
def spoken_result(result: GateResult) -> str:
    """What became of a gate."""
    return RESULTS[result]


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
def navigation(context: RequestContext) -> list[dict[str, object]]:
    """The lists that are open to the reader, with the one they are in marked."""
    request = context.get("request")
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return []
    whole = access.sees_whole_book(person, timezone.localdate())
    places = FOR_ALL + (FOR_THE_BOOK if whole else ())
    return [
        {"address": reverse(name), "label": label, "here": request.path == reverse(name)}
        for name, label in places
    ]
