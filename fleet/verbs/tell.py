"""Writing messages: what is due to be told now, each in one transaction with the note that it was told.

Nothing is sent here. Whatever is due is worked out from the rows each time, so a lost call costs time and never a
message; two calls at once write each message once, because whoever writes for a person holds that person's row.
"""

import hashlib
import logging
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from django.db import transaction
from django.db.models import QuerySet
from django.utils import translation

from fleet.models import Mesh, Message, MessageKind, ToldOfMesh
from fleet.planning.messages import letters, telling
from fleet.planning.messages.causes import by_cause
from fleet.planning.messages.letters import LastRound, Letter
from fleet.planning.messages.quiet import is_quiet
from fleet.planning.messages.standing import Standing, Trouble
from fleet.planning.messages.telling import Told
from fleet.queries.mesh import meshes_for
from fleet.queries.readers import Reader, readers
from fleet.queries.standings import last_round, standings
from fleet.verbs.tell_of_stop import tell_of_stop
from fleet.verbs.write_message import hold, put
from sites.models import Person

log = logging.getLogger(__name__)


@dataclass(slots=True)
class _Book:
    """What one call tells from, read once for all readers."""

    now: datetime
    last: LastRound
    _lists: dict[str, list[Standing]] = field(default_factory=dict)

    def open_to(self, reader: Reader) -> list[Standing]:
        """Every mesh in care that is open to the reader."""
        return self._read("all", reader, _in_care(reader, self.now))

    def safety_open_to(self, reader: Reader) -> list[Standing]:
        """Those that people's safety hangs on."""
        return self._read("safety", reader, _in_care(reader, self.now).filter(safety_relevant=True))

    def _read(self, which: str, reader: Reader, meshes: QuerySet[Mesh]) -> list[Standing]:
        # The statement says which meshes are open: equal for everybody who sees the whole book.
        key = f"{which} {meshes.query}"
        if key not in self._lists:
            self._lists[key] = standings(meshes)
        return self._lists[key]


def _in_care(reader: Reader, now: datetime) -> QuerySet[Mesh]:
    return meshes_for(reader.person, now.date()).filter(in_care=True)


def tell(now: datetime) -> list[Message]:
    """Write every message that is due now, in a book that a round has gone through; nothing is written twice."""
    book = _Book(now, last_round(now))
    if book.last.ended_at is None:
        return []
    written: list[Message] = []
    for reader in readers(now.date()):
        try:
            written += _tell(reader, book)
        except Exception:
            # What cannot be written for one must not keep an urgent message from the next.
            log.exception("no message could be written to person %s", reader.person.pk)
    return written + tell_of_stop(now)


@transaction.atomic
def _tell(reader: Reader, book: _Book) -> list[Message]:
    hold(reader.person)
    written = _urgent(reader, book) if reader.wishes.urgent else []
    if reader.wishes.morning_list and not is_quiet(book.now, reader.zone):
        written += _list(reader, book)
    return written


def _urgent(reader: Reader, book: _Book) -> list[Message]:
    now, open_ = book.now, book.safety_open_to(reader)
    rows = {
        row.mesh.code: row for row in ToldOfMesh.objects.filter(person=reader.person).select_related("mesh")
    }
    told = {code: Told(Trouble(row.trouble), row.at, row.mildest) for code, row in rows.items()}
    news = telling.urgent(open_, told, now)
    _note_milder(open_, rows)
    if not news:
        return []
    marks = [f"{each.code} {each.trouble} {rows[each.code].at if each.code in rows else ''}" for each in news]
    key = f"urgent {reader.person.pk} {hashlib.sha256(' '.join(marks).encode()).hexdigest()[:32]}"
    facts = {"meshes": [each.code for each in news]}
    groups = by_cause(news)
    written = put(
        reader,
        MessageKind.URGENT,
        key,
        facts,
        now,
        lambda desk: letters.urgent(groups, now, desk, translation),
    )
    _note_told(reader.person, news, now)
    return written


def _note_milder(open_: Sequence[Standing], rows: dict[str, ToldOfMesh]) -> None:
    """Remember that a mesh was better for a while: only then may the same trouble be told anew."""
    for each in open_:
        row = rows.get(each.code)
        if row is not None and each.severity > row.mildest:
            row.mildest = each.severity
            row.save(update_fields=["mildest"])


def _note_told(person: Person, news: Sequence[Standing], now: datetime) -> None:
    meshes = dict(Mesh.objects.filter(code__in=[each.code for each in news]).values_list("code", "pk"))
    ToldOfMesh.objects.bulk_create(
        [
            ToldOfMesh(
                person=person, mesh_id=meshes[each.code], trouble=each.trouble, at=now, mildest=each.severity
            )
            for each in news
        ],
        update_conflicts=True,
        unique_fields=["person", "mesh"],
        update_fields=["trouble", "at", "mildest"],
    )


def _list(reader: Reader, book: _Book) -> list[Message]:
    """Today's list where there is none yet, else the part of it that has waited for daylight."""
    lists = Message.objects.filter(person=reader.person, kind=MessageKind.LIST)
    last = lists.order_by("-made_at", "-id").first()
    last_on = date.fromisoformat(last.facts["day"]) if last else None
    if telling.list_is_due(book.now, reader.zone, last_on):
        return _morning(reader, book)
    return _rest(reader, book, last.facts)


def preview(reader: Reader, now: datetime) -> Letter:
    """The list that this reader would get now, whatever the hour. Nothing is written."""
    book = _Book(now, last_round(now))
    found = telling.morning_list(book.open_to(reader), reader.zone, now)
    with translation.override(reader.wishes.language):
        return letters.morning(found, book.last, now, reader.desk, translation)


def _morning(reader: Reader, book: _Book) -> list[Message]:
    now = book.now
    found = telling.morning_list(book.open_to(reader), reader.zone, now)
    day = now.astimezone(reader.zone).date().isoformat()
    facts = {
        "day": day,
        "meshes": [each.code for group in found.groups for each in group.members],
        "later": {"at": found.later.at.isoformat(), "meshes": found.later.codes} if found.later else None,
    }
    key = f"list {reader.person.pk} {day}"
    return put(
        reader,
        MessageKind.LIST,
        key,
        facts,
        now,
        lambda desk: letters.morning(found, book.last, now, desk, translation),
    )


def _rest(reader: Reader, book: _Book, facts: dict) -> list[Message]:
    """The part of today's list that had to wait, once it is day at all of its homes."""
    now, day, later = book.now, facts["day"], facts["later"]
    key = f"rest {reader.person.pk} {day}"
    if later is None or now < datetime.fromisoformat(later["at"]) or Message.objects.filter(key=key).exists():
        return []
    groups = telling.rest_of_list(book.open_to(reader), later["meshes"], now)
    if not groups:
        return []
    told = {"day": day, "meshes": [each.code for group in groups for each in group.members]}
    return put(
        reader,
        MessageKind.REST,
        key,
        told,
        now,
        lambda desk: letters.rest(groups, book.last, now, desk, translation),
    )
