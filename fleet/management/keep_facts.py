"""What the command about keep rules prints: rules, effects, marked copies and pins in plain values."""

from typing import Any

from fleet.models import Pin
from fleet.queries.keep_rules import MarkedMesh, RuleShown
from fleet.queries.pins import Marked
from fleet.queries.rule_book import numbers_of
from fleet.queries.rule_effect import Preview


def of_rule(shown: RuleShown) -> dict[str, Any]:
    row, held = shown.row, shown.held
    return {
        "rule": row.name,
        "default": row.is_default,
        "keeps": numbers_of(row).in_words(),
        "days": row.days,
        "weeks": row.weeks,
        "months": row.months,
        "years": row.years,
        "grace_days": row.grace_days,
        "freshness_hours": row.freshness_hours,
        "meshes": held.meshes,
        "copies": held.copies,
        "marked": held.marked,
        "sealed_octets": held.octets,
    }


def of_preview(found: Preview, *, saved: bool) -> dict[str, Any]:
    total = found.total
    return {
        "saved": saved,
        "marked": total.marked,
        "unmarked": total.unmarked,
        "sooner": total.sooner,
        "meshes": found.meshes,
        "copies": found.copies,
        "kept": found.kept,
        "share": round(found.share, 6),
        "needs_second_person": found.needs_second,
        "homes": [
            {
                "home": home.code,
                "marked": home.effect.marked,
                "unmarked": home.effect.unmarked,
                "sooner": home.effect.sooner,
            }
            for home in found.homes
        ],
    }


def in_words(found: Preview) -> str:
    """The sum of an effect."""
    total = found.total
    return (
        f"{total.marked} of {found.kept} kept copies marked to go, {total.sooner} gone with the next round, "
        f"{total.unmarked} kept after all, in {len(found.homes)} homes"
    )


def of_marked(row: Marked) -> dict[str, str]:
    return {
        "snapshot": str(row.copy.uid),
        "taken_at": row.copy.taken_at.isoformat(),
        "marked_at": row.copy.doomed_at.isoformat() if row.copy.doomed_at else "",
        "goes_after": row.goes.isoformat(),
    }


def of_marked_mesh(row: MarkedMesh) -> dict[str, Any]:
    return {
        "mesh": row.mesh.code,
        "marked": row.copies,
        "first_goes_after": row.first_goes.isoformat(),
        "rule": row.rule,
    }


def of_pin(pin: Pin) -> dict[str, Any]:
    return {
        "pin": pin.pk,
        "kind": pin.kind,
        "on": str(pin.snapshot.uid) if pin.snapshot else "the whole mesh",
        "at": pin.at.isoformat(),
        "by": pin.by,
        "reason": pin.reason,
    }
