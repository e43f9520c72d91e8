"""What the pages of the rounds ask: how far a running one is, and what one changed."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Count, Q, QuerySet

from fleet.models import ReadinessChange, Round, RoundChunk, RoundState
from fleet.planning.pace import Pace, pace

# A round at work gives signs every second or so. Without one for so long, a person should know.
QUIET_AFTER = timedelta(seconds=90)


@dataclass(frozen=True, slots=True)
class Progress:
    """A running round as it stands: sums over its chunks, and the chunks that somebody is at work on."""

    done: int
    marked: int
    erased: int
    errors: list[dict[str, Any]]
    at_work: list[RoundChunk]
    pace: Pace
    last_sign_at: datetime
    is_quiet: bool


def progress_of(report: Round, now: datetime) -> Progress:
    """One statement."""
    chunks = list(report.chunks.all())
    done = sum(chunk.done for chunk in chunks)
    signs = [chunk.sign_at for chunk in chunks if chunk.sign_at is not None]
    last_sign_at = max([report.last_sign_at, *signs])
    return Progress(
        done=done,
        marked=sum(chunk.marked for chunk in chunks),
        erased=sum(chunk.erased for chunk in chunks),
        errors=[error for chunk in chunks for error in chunk.errors],
        at_work=[chunk for chunk in chunks if chunk.token and chunk.finished_at is None],
        pace=pace(done, report.total, report.started_at, now),
        last_sign_at=last_sign_at,
        is_quiet=now - last_sign_at > QUIET_AFTER,
    )


def running() -> Round | None:
    """The round that is under way."""
    return Round.objects.filter(state=RoundState.RUNNING).first()


def rounds_shown() -> QuerySet[Round]:
    """Rounds, newest first, with how many meshes each found in another state, and how many it judged first."""
    is_first = Q(readiness_changes__was="")
    counted = Round.objects.annotate(
        changed=Count("readiness_changes", filter=~is_first),
        judged_first=Count("readiness_changes", filter=is_first),
    )
    return counted.order_by("-started_at", "-pk")


def first_judged_by(report: Round) -> int:
    """How many meshes no round before had judged."""
    return report.readiness_changes.filter(was="").count()


def changes_of(report: Round) -> QuerySet[ReadinessChange]:
    """The meshes whose state a round changed, or judged for the first time, by code."""
    return report.readiness_changes.select_related("mesh__site__client").order_by("mesh__code")
