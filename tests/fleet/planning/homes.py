"""Whole homes as a person would tell them, for the truth table of the gates."""

from datetime import UTC, datetime, timedelta
from typing import Any

from fleet.planning.compatibility import Verdict
from fleet.planning.drills import DrillFacts, DrillKind, judge_drills
from fleet.planning.estimating import ThreePoints
from fleet.planning.freshness import judge_freshness
from fleet.planning.phrases.fit import Fit
from fleet.planning.readiness import ReadinessFacts, SpareFacts

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
HOME, SHELF, VAN, UNKNOWN = "home", "shelf", "van", "nobody knows"
WAY_MINUTES = {SHELF: 45.0, VAN: 20.0}


SAID = Fit.TRIED_NEVER.of(source="Alder A2 6.9", target="Alder A2 6.10")


def spare(
    code: str,
    where: str,
    verdict: Verdict = Verdict.CLEAN,
    blank: bool | None = True,
    firmware: str | None = "6.10",
    barred: bool | None = False,
    minutes: float | None = 90,
    by_hand: int | None = 0,
    way: float | None = None,
) -> SpareFacts:
    """A radio that lies somewhere; minutes: the whole restore at the worst, the way in it."""
    return SpareFacts(
        code=code,
        blank_proven=blank,
        firmware=firmware,
        firmware_barred=barred,
        verdict=verdict,
        verdict_why=SAID if verdict is not Verdict.CLEAN else None,
        reach_minutes=None if where in (HOME, UNKNOWN) else way or WAY_MINUTES[where],
        at_home=where == HOME,
        restore_minutes=None if minutes is None else ThreePoints(minutes / 3, minutes / 2, minutes),
        rejoin_count=by_hand,
    )


def home(
    code: str,
    *spares: SpareFacts,
    copy_hours: float | None,
    seen_live: bool | None,
    drilled_days: int | None,
    passed: bool = True,
    point: float | None = 24,
    hours: float | None = 4,
    interval: int | None = 182,
    radio: str | None = "ALDER-1",
    model: str | None = "Alder A2",
    firmware: str | None = "6.10",
    placed: bool = True,
    unsound: int = 0,
    locked: int = 0,
) -> ReadinessFacts:
    """copy_hours: age of the newest sound copy, below 0 ahead of our clock, None where there is none."""
    drills = (
        []
        if drilled_days is None
        else [DrillFacts(DrillKind.BENCH, NOW - timedelta(days=drilled_days), passed)]
    )
    taken_at = None if copy_hours is None else NOW - timedelta(hours=copy_hours)
    return ReadinessFacts(
        mesh_code=code,
        radio=radio,
        model=model,
        firmware=firmware,
        promised_point_hours=point,
        promised_time_hours=hours,
        position_known=placed,
        freshness=None if taken_at is None else judge_freshness(taken_at, NOW, point),
        seen_live=seen_live,
        drill=None if interval is None else judge_drills(drills, interval, NOW),
        spares=spares,
        unsound_snapshots=unsound,
        locked_out_snapshots=locked,
    )


def kept(code: str, *spares: SpareFacts, **given: Any) -> ReadinessFacts:
    """A home with a copy of last night that was seen live, and a drill of last week that passed."""
    return home(code, *spares, **{"copy_hours": 8, "seen_live": True, "drilled_days": 7, **given})
