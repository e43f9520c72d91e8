"""How each kind of sheet is made: the letter of its number, its facts, and who draws them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from types import MappingProxyType
from typing import Any

from fleet.queries.spares import SpareShelf
from reports.drawing import handover as handover_drawing
from reports.drawing import recovery as recovery_drawing
from reports.drawing.sheet import Paper
from reports.facts.head import Issue
from reports.models import SheetKind
from reports.queries.handover import handover_facts
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


WAYS: Mapping[SheetKind, Way] = MappingProxyType(
    {
        SheetKind.HANDOVER: Way("H", _handover, handover_drawing.draw, renewed=True),
        SheetKind.RECOVERY: Way("R", _recovery, recovery_drawing.draw, renewed=True),
    }
)
RENEWED = tuple(kind for kind, way in WAYS.items() if way.renewed)
