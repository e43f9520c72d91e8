"""Trying a field guide out, confirming it, and reading again what waited in the tray for it."""

from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from fleet.models import FieldGuideRow, KnownLayout, TrayItem, TrayReason
from fleet.queries.layouts import Reading, guide_known_for
from fleet.queries.tray import unread
from fleet.snapshots.decoding import JsonValue, ReadError, decode
from fleet.snapshots.facts import SnapshotFacts
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import FieldGuide, read_with, to_json
from fleet.verbs import journal
from fleet.verbs.intake import Kind, Receipt, Refusal, rehearse
from fleet.verbs.tray import TrayRefused, lock_meshes, locked, octets_of, read_again


@dataclass(frozen=True, slots=True)
class Confirmed:
    """The guide's row, how many waiting documents of its layouts it took in, and those that still wait."""

    row: FieldGuideRow
    taken_in: int
    waiting: tuple[TrayItem, ...] = ()

    @property
    def still_waiting(self) -> int:
        return len(self.waiting)


@dataclass(frozen=True, slots=True)
class Tried:
    """What a document would say by a guide, and what would become of it; facts is None where it cannot be read."""

    facts: SnapshotFacts | None
    outcome: Receipt | Refusal

    @property
    def is_taken_in(self) -> bool:
        return isinstance(self.outcome, Receipt)

    @property
    def reason(self) -> str:
        """Why it would wait, in words; empty where it would not."""
        return "" if isinstance(self.outcome, Receipt) else TrayReason(self.outcome.reason).label.lower()


def try_out(guide: FieldGuide, item: TrayItem, document: JsonValue, body: bytes) -> Tried:
    """Read a waiting document by a guide and say what would become of it. Nothing is stored."""
    try:
        facts = read_with(guide, document)
    except ReadError as error:
        return Tried(None, Refusal(TrayReason.UNREADABLE, error.problems))
    return Tried(facts, rehearse(item.mesh, body, Reading(guide.name, facts), item.received_at))


@transaction.atomic
def confirm(guide: FieldGuide, fingerprint: str, by: str, now: datetime) -> Confirmed:
    """Store the guide for the layout of that fingerprint, then read again what waits in any layout of the guide.

    A guide of that name is replaced under a higher version; the layouts that it read before stay its own.
    """
    return _confirm(guide, fingerprint, by, now, _lock_unread())


@transaction.atomic
def confirm_for(item: TrayItem, guide: FieldGuide, known_by: str, by: str, now: datetime) -> Confirmed:
    """The same for the layout of one waiting document, which the guide's first fingerprint names.

    known_by: the edition of the guide that knew the layout when this person began, "" for none. Raises
    TrayRefused where somebody was faster, or the name is another guide's: copies were read by that one.
    """
    waiting = _lock_unread()
    if all(each.pk != item.pk for each in waiting):
        locked(item)  # says who was faster
        raise TrayRefused("By now this document waits for another reason; look at it again.")
    fingerprint = guide.fingerprints[0]
    row = guide_known_for(fingerprint)
    if row is not None and row.edition != known_by:
        raise TrayRefused(
            f"{row.confirmed_by} was faster and confirmed the field guide “{row.name}” for this layout. "
            "See what it makes of the document before you confirm another."
        )
    if FieldGuideRow.objects.filter(name=guide.name).exists():
        raise TrayRefused(
            f"There is a field guide “{guide.name}” already, and copies were read by it. Choose another name."
        )
    return _confirm(guide, fingerprint, by, now, waiting)


def _confirm(
    guide: FieldGuide, fingerprint: str, by: str, now: datetime, waiting: list[TrayItem]
) -> Confirmed:
    known = FieldGuideRow.objects.select_for_update().filter(name=guide.name).first()
    version = known.version + 1 if known else 1
    prints = {fingerprint, *(known.layouts.values_list("fingerprint", flat=True) if known else ())}
    text = to_json(replace(guide, version=version, fingerprints=tuple(sorted(prints))))
    row, _ = FieldGuideRow.objects.update_or_create(
        name=guide.name,
        defaults={"version": version, "text": text, "confirmed_by": by, "confirmed_at": now},
    )
    KnownLayout.objects.update_or_create(fingerprint=fingerprint, defaults={"guide": row})
    because = f"read again with field guide {row.edition}"
    items = [item for item in waiting if _fingerprint(item) in prints]
    still = tuple(item for item in items if read_again(item, because, by, now).kind is Kind.TRAYED)
    left = len(items) - len(still)
    journal.record(
        by,
        "field guide confirmed",
        "",
        now,
        guide=row.name,
        version=version,
        left_the_tray=left,
        wait=len(still),
    )
    return Confirmed(row, left, still)


def _lock_unread() -> list[TrayItem]:
    """What waits for a layout to be known or read better, locked, in the order in which it came."""
    lock_meshes(unread().values_list("mesh", flat=True))
    # Locked before they are joined: see verbs.tray.locked.
    held = list(unread().select_for_update(of=("self",)).order_by("pk").values_list("pk", flat=True))
    items = unread().filter(pk__in=held).select_related("mesh__site__client")
    return sorted(items, key=lambda item: item.received_at)


def _fingerprint(item: TrayItem) -> str:
    """Of the waiting document's layout; "" for one that is no JSON or cannot be opened, which no guide will help."""
    try:
        return layout_fingerprint(decode(octets_of(item)))
    except (ReadError, TrayRefused):
        return ""
