"""What a change of keep rules would do to the book, home by home, worked out from the rows as they are."""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from fleet.models import Custody, Mesh, Snapshot
from fleet.planning.rule_change import Effect, effect_on, needs_second_person
from fleet.queries.keeping import histories, in_chunks
from fleet.queries.rule_book import RuleBook


@dataclass(frozen=True, slots=True)
class HomeEffect:
    """What a change does to the copies of one home."""

    code: str
    effect: Effect


@dataclass(frozen=True, slots=True)
class Preview:
    """The effect of a change: the homes where it takes or gives back any copy, those that lose most first.

    meshes go by other numbers than before, and copies of theirs were looked at; kept is how many copies the whole
    book keeps now.
    """

    homes: tuple[HomeEffect, ...]
    total: Effect
    meshes: int
    copies: int
    kept: int

    @property
    def needs_second(self) -> bool:
        return needs_second_person(self.total, self.kept)

    @property
    def share(self) -> float:
        """Which part of the book's kept copies the change takes, from 0 to 1."""
        return self.total.lost / self.kept if self.kept else 0.0


def kept_now() -> int:
    """How many copies the book keeps: neither erased nor marked."""
    return Snapshot.objects.exclude(custody__in=(Custody.GONE, Custody.DOOMED)).count()


def preview(
    before: RuleBook, after: RuleBook, now: datetime, step: Callable[[int, int], None] | None = None
) -> Preview:
    """Hold every copy of the meshes in care against both books of rules. Memory stays flat; nothing is written."""
    homes: dict[str, Effect] = defaultdict(Effect)
    meshes = copies = 0
    for chunk in in_chunks(Mesh.objects.filter(in_care=True), step):
        rules = {mesh.pk: (before.rule_of(mesh).numbers, after.rule_of(mesh).numbers) for mesh in chunk}
        changed = [mesh for mesh in chunk if rules[mesh.pk][0] != rules[mesh.pk][1]]
        for history in histories(changed):
            old, new = rules[history.mesh.pk]
            homes[history.mesh.site.code] += effect_on(
                history.copies, history.marked_at, old, new, history.zone, now
            )
            copies += len(history.copies)
        meshes += len(changed)
    touched = [HomeEffect(code, effect) for code, effect in homes.items() if effect]
    touched.sort(key=lambda home: (-home.effect.lost, -home.effect.unmarked, home.code))
    return Preview(tuple(touched), sum(homes.values(), Effect()), meshes, copies, kept_now())
