"""What a supposition comes to, as facts for JSON and figures for the terminal."""

from datetime import datetime
from typing import Any

from fleet.planning.outage import NotCounted, Yearly
from fleet.planning.supposed_tally import Tally
from fleet.planning.supposing import as_data
from fleet.planning.supposing_words import ARROW, figure, headline, told_apart
from fleet.queries.supposals import Sums
from fleet.queries.supposed_rows import Supposed
from fleet.queries.supposing import Found, Side, Weighed


def facts_of(supposed: Supposed, found: Found, sums: Sums, now: datetime) -> dict[str, Any]:
    """Everything that the terminal would say, and the rates beneath it. Hours and money are a year's."""
    tally = found.tally
    return {
        "answer": headline(supposed.words, tally),
        "as_of": now.isoformat(),
        "supposed": as_data(supposed.change),
        "meshes": tally.meshes,
        "changed": [_changed(each) for each in found.changed],
        "staying": {move.was.value: move.meshes for move in tally.staying},
        "hours": {"before": tally.hours_before, "after": tally.hours_after, "meshes": tally.counted},
        "not_counted": dict(tally.left_out),
        "rates": _rates(tally),
        "money": {
            "currency": sums.currency,
            "joining_before": _amount(sums.before),
            "joining_after": _amount(sums.after),
            "spares": _amount(sums.price),
        },
        "errors": [{"mesh": each.mesh, "error": each.error, "id": each.id} for each in found.troubles],
        "saved": False,
    }


def hours_of(each: Weighed) -> str:
    """The hours of a year of one mesh, before and after."""
    before, after = each.before.yearly, each.after.yearly
    if isinstance(before, Yearly) and isinstance(after, Yearly):
        same = before.hours == after.hours
        return figure(before.hours) if same else ARROW.join(told_apart(before.hours, after.hours))
    said = ["not counted" if isinstance(side, NotCounted) else figure(side.hours) for side in (before, after)]
    return ARROW.join(dict.fromkeys(said))


def _changed(each: Weighed) -> dict[str, Any]:
    return {"mesh": each.mesh.code, "before": _side(each.before), "after": _side(each.after)}


def _side(side: Side) -> dict[str, Any]:
    ready, yearly = side.readiness, side.yearly
    return {
        "readiness": ready.state.value,
        "gate": ready.first_failing.value if ready.first_failing else "",
        "reason": ready.reason,
        "act": ready.act,
        "spare": ready.spare,
        "hours": None if isinstance(yearly, NotCounted) else yearly.hours,
    }


def _rates(tally: Tally) -> list[dict[str, Any]]:
    return [
        {
            "of": rate.of,
            "failures": rate.failures,
            "radio_years": rate.years,
            "upper": rate.upper,
            "few_years": rate.few,
            "meshes": rate.meshes,
        }
        for rate in tally.rates_used
    ]


def _amount(value: object) -> str | None:
    return None if value is None else str(value)
