"""Meshes as messages see them, with plain defaults."""

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from fleet.planning.messages.standing import Standing
from fleet.planning.readiness import GateName, State

NOW = datetime(2027, 3, 26, 9, 0, tzinfo=UTC)
OSLO, UTC_ZONE = ZoneInfo("Europe/Oslo"), ZoneInfo("UTC")


def standing(number: int = 1, zone: str = "Europe/Oslo", **given: Any) -> Standing:
    """A covered mesh of its own home; `bare` and `stale` make worse ones."""
    home = f"HOME-{number}"
    defaults = {"code": f"{home}-A", "home": home, "place": "town house", "state": State.COVERED}
    return Standing(**{**defaults, "zone": ZoneInfo(zone), **given})


def bare(number: int = 1, **given: Any) -> Standing:
    return standing(number, **{"state": State.BARE, "gate": GateName.SPARE, "family": "P", **given})


def stale(number: int = 1, **given: Any) -> Standing:
    taken = {"newest_sound_at": NOW - timedelta(days=9)}
    return standing(number, **{"state": State.THIN, "gate": GateName.FRESH, **taken, **given})
