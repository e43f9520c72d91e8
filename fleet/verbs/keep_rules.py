"""Changing which copies the book keeps: a rule's numbers, or whose rule it is.

The effect is worked out before anything is saved, outside the transaction so that copies can go on landing. A
large one is saved only with a second person's name; see planning.rule_change for how large.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from fleet.models import ClientKeepRule, KeepRule, Mesh
from fleet.planning.rule_change import Effect, is_as_seen
from fleet.queries.rule_book import RuleBook
from fleet.queries.rule_effect import Preview, preview
from fleet.verbs import journal
from fleet.verbs.two_people import are_one
from sites.models import Client

NUMBERS = ("name", "days", "weeks", "months", "years", "grace_days", "freshness_hours", "is_default")


class RuleRefused(Exception):
    """Nothing was saved. `preview` is the effect as it is now; the sentence says what is missing."""

    def __init__(self, sentence: str, found: Preview) -> None:
        super().__init__(sentence)
        self.preview = found


@dataclass(frozen=True, slots=True)
class RuleEdited:
    """A rule with other numbers, or a new one; the row is not saved yet."""

    row: KeepRule

    def after(self, book: RuleBook) -> RuleBook:
        return book.with_rule(self.row)

    def write(self) -> tuple[str, str, dict[str, object]]:
        old = KeepRule.objects.filter(pk=self.row.pk).first()
        if self.row.is_default:
            KeepRule.objects.exclude(pk=self.row.pk).update(is_default=False)
        self.row.save()
        return "keep rule entered" if old is None else "keep rule changed", "", self._told(old)

    def _told(self, old: KeepRule | None) -> dict[str, object]:
        changed = {
            name: f"{getattr(old, name)} to {getattr(self.row, name)}" if old else getattr(self.row, name)
            for name in NUMBERS
            if old is None or getattr(old, name) != getattr(self.row, name)
        }
        return {"rule": self.row.name, **changed}


@dataclass(frozen=True, slots=True)
class ClientChoice:
    """Another rule for all meshes of a client that have none of their own; None: the book's default."""

    client: Client
    rule: KeepRule | None

    def after(self, book: RuleBook) -> RuleBook:
        return book.with_client(self.client.pk, self.rule.pk if self.rule else None)

    def write(self) -> tuple[str, str, dict[str, object]]:
        if self.rule is None:
            ClientKeepRule.objects.filter(client=self.client).delete()
        else:
            ClientKeepRule.objects.update_or_create(client=self.client, defaults={"rule": self.rule})
        return "keep rule chosen for a client", str(self.client.uid), {"rule": _named(self.rule)}


@dataclass(frozen=True, slots=True)
class MeshChoice:
    """Another rule for one mesh; None: its client's, or the book's default."""

    mesh: Mesh
    rule: KeepRule | None

    def after(self, book: RuleBook) -> RuleBook:
        return book.with_mesh(self.mesh.pk, self.rule.pk if self.rule else None)

    def write(self) -> tuple[str, str, dict[str, object]]:
        Mesh.objects.filter(pk=self.mesh.pk).update(keep_rule=self.rule)
        return "keep rule chosen for a mesh", self.mesh.code, {"rule": _named(self.rule)}


Change = RuleEdited | ClientChoice | MeshChoice


def effect_of(change: Change, now: datetime, step: Callable[[int, int], None] | None = None) -> Preview:
    """What the change would do, without saving it."""
    book = RuleBook.load()
    return preview(book, change.after(book), now, step)


def save(
    change: Change,
    by: str,
    now: datetime,
    *,
    seen: Effect | None = None,
    second: str = "",
    step: Callable[[int, int], None] | None = None,
) -> Preview:
    """Work out the effect once more and save the change. Raises RuleRefused.

    seen is the effect that the person was shown, if any: where it has grown since, nothing is saved. second is the
    name of the person who agrees to a large change.
    """
    book = RuleBook.load()
    found = preview(book, change.after(book), now, step)
    if seen is not None and not is_as_seen(seen, found.total):
        raise RuleRefused("The book has changed since: look at the effect again.", found)
    if found.needs_second and not second:
        raise RuleRefused("This takes more than 5 % of the copies: a second person must agree.", found)
    if second and are_one(by, second):
        raise RuleRefused("The second person must be somebody other than the one who asks.", found)
    with transaction.atomic():
        list(KeepRule.objects.select_for_update().order_by("pk").values_list("pk"))
        if RuleBook.load() != book:
            raise RuleRefused("Somebody else has just changed a keep rule: look at the effect again.", found)
        what, subject, details = change.write()
        agreed = {"second": second} if second else {}
        total = found.total
        journal.record(
            by,
            what,
            subject,
            now,
            **details,
            marks=total.marked,
            unmarks=total.unmarked,
            sooner=total.sooner,
            **agreed,
        )
    return found


def _named(rule: KeepRule | None) -> str:
    return rule.name if rule else "none of its own"
