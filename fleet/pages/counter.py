"""The frame counter of a mesh: the number to write, how long counters last, the ledger as a picture and as rows."""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from fleet.mesh.counters import SPACE_END
from fleet.models import EvidenceKind
from fleet.pages import first_lines_over_time as first_lines
from fleet.planning.counter_chart import chart_of, space_bar
from fleet.planning.counter_course import Turn
from fleet.queries.counter_page import CounterPage, end_of_day, evidence_of, ledger_lines, page_of
from fleet.queries.mesh import mesh_for

LINES_A_PAGE = 20
TURNS = {
    Turn.FELL: "it fell. A radio lost its counter, an older file was written, or there is a second voice",
    Turn.LEAPT: "it leapt. Somebody wrote a number that this book did not give, or there is a second voice",
    Turn.GIVEN_TOO_LOW: "it was given too low. Devices drop every frame up to what they heard before",
}
HELD = "held"


@require_safe
def counter(request: HttpRequest, code: str) -> HttpResponse:
    mesh = mesh_for(request.user, code, timezone.localdate())
    now = timezone.now()
    shown = page_of(mesh, now)
    turns = {found.line: found.turn for found in shown.breaks}
    lines = Paginator(ledger_lines(mesh), LINES_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "mesh": mesh,
        "site": mesh.site,
        "client": mesh.site.client,
        "now": now,
        "shown": shown,
        "breaks": [(found, TURNS[found.turn]) for found in reversed(shown.breaks)],
        "lines": lines,
        "rows": [(line, turns.get(evidence_of(line))) for line in lines],
        "first_line": first_lines.of_counter(code, shown.picture, shown.lasts, now),
        **(_pictures(shown, ZoneInfo(mesh.site.time_zone), now) if shown.picture else {}),
    }
    return render(request, "fleet/counter.html", context)


def _pictures(shown: CounterPage, zone: ZoneInfo, now: datetime) -> dict[str, object]:
    picture, lasts = shown.picture, shown.lasts
    chart = chart_of(
        picture.evidence, shown.held_lines, shown.breaks, picture.start.value, end_of_day(now, zone), zone
    )
    kinds = {dot.kind for dot in chart.dots}
    words = {kind.value: kind.label.lower() for kind in EvidenceKind} | {HELD: "held copy, does not count"}
    return {
        "chart": chart,
        "legend": [(kind, said) for kind, said in words.items() if kind in kinds],
        "used": lasts.standing / SPACE_END,
        "bar": space_bar(lasts.standing, picture.start.value),
    }
