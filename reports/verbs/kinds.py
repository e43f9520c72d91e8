"""How each kind of sheet is made: the letter of its number, its facts, and who draws them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

from fleet.queries.spares import SpareShelf
from reports.drawing import digest as digest_drawing
from reports.drawing import drill as drill_drawing
from reports.drawing import erasure as erasure_drawing
from reports.drawing import evidence as evidence_drawing
from reports.drawing import handover as handover_drawing
from reports.drawing import job as job_drawing
from reports.drawing import recovery as recovery_drawing
from reports.drawing.sheet import Paper
from reports.facts.head import Issue
from reports.models import SheetKind
from reports.queries.digest import digest_facts
from reports.queries.drill import drill_record_facts
from reports.queries.erasure import erasure_facts
from reports.queries.evidence import evidence_facts
from reports.queries.handover import handover_facts
from reports.queries.job import job_facts
from reports.queries.recovery import recovery_facts
from reports.queries.subjects import Subject


@dataclass(frozen=True, slots=True)
class Way:
    """One kind. `renewed`: made anew by itself as soon as a fact that lasts has changed."""

    letter: str
    facts: Callable[[Subject, Issue, SpareShelf, datetime], Any]
    draw: Callable[[Any, Paper], bytes]
    renewed: bool = False


def _handover(subject: Subject, issue: Issue, shelf: SpareShelf, now: datetime) -> Any:
    assert subject.site is not None
    return handover_facts(subject.site, issue, now)


def _recovery(subject: Subject, issue: Issue, shelf: SpareShelf, now: datetime) -> Any:
    assert subject.mesh is not None
    return recovery_facts(subject.mesh, issue, shelf, now)


def _job(subject: Subject, issue: Issue, shelf: SpareShelf, now: datetime) -> Any:
    assert subject.mesh is not None
    assert subject.radio is not None
    return job_facts(subject.mesh, subject.radio, issue, shelf, now)


def _drill(subject: Subject, issue: Issue, shelf: SpareShelf, now: datetime) -> Any:
    assert subject.drill is not None
    return drill_record_facts(subject.drill, issue, shelf, now)


def _erasure(subject: Subject, issue: Issue, shelf: SpareShelf, now: datetime) -> Any:
    return erasure_facts(subject, issue)


def _digest(subject: Subject, issue: Issue, shelf: SpareShelf, now: datetime) -> Any:
    assert subject.days is not None
    return digest_facts(*subject.days, issue, shelf)


def _evidence(subject: Subject, issue: Issue, shelf: SpareShelf, now: datetime) -> Any:
    assert subject.site is not None
    assert subject.days is not None
    return evidence_facts(subject.site, *subject.days, issue)


WAYS: Mapping[SheetKind, Way] = MappingProxyType(
    {
        SheetKind.HANDOVER: Way("H", _handover, handover_drawing.draw, renewed=True),
        SheetKind.RECOVERY: Way("R", _recovery, recovery_drawing.draw, renewed=True),
        SheetKind.JOB: Way("J", _job, job_drawing.draw),
        SheetKind.DRILL: Way("D", _drill, drill_drawing.draw),
        SheetKind.ERASURE: Way("E", _erasure, erasure_drawing.draw),
        SheetKind.DIGEST: Way("M", _digest, digest_drawing.draw),
        SheetKind.EVIDENCE: Way("V", _evidence, evidence_drawing.draw),
    }
)
RENEWED = tuple(kind for kind, way in WAYS.items() if way.renewed)
