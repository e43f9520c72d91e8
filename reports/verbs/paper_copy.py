"""Printing a paper copy: the newest sound snapshot, sealed under a passphrase, on paper that outlives the book."""

import os
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import sha256

from django.db import transaction

from fleet.mesh.codes import with_check
from fleet.mesh.counters import SPACE_END, CounterError
from fleet.models import Mesh, Snapshot
from fleet.queries.counters import CounterPicture, counter_picture
from fleet.queries.layouts import guide_of
from fleet.queries.readiness import restorable
from fleet.queries.restoring import GrantRefused, insist_on_copy
from fleet.queries.sealed import open_body
from fleet.snapshots.advancing import advance
from fleet.snapshots.decoding import ReadError
from fleet.snapshots.guides import to_json
from fleet.snapshots.packing import PackError
from fleet.snapshots.sealing import SealError
from fleet.snapshots.writing_back import WriteBackError
from fleet.verbs import journal
from fleet.verbs.ledger import note_number
from reports.drawing import paper_copy as drawing
from reports.drawing.sheet import Paper
from reports.facts.paper_copy import PaperCopyFacts
from reports.paper import making
from reports.paper.edits import edits_between
from reports.queries.home import at_home, firm_facts, home_facts
from reports.verbs.passphrase import is_drawn
from reports.verbs.reasons import ReasonRefused, reason_beside

SALT_OCTETS, NONCE_OCTETS = 16, 12
DAYS_KEPT_FREE = 2
"""The paper counts its days by the calendar, so it may say up to two days' worth more than the book does."""


class PaperRefused(Exception):
    """No paper copy is made; the sentence says why and what would be right."""


@dataclass(frozen=True, slots=True)
class Printed:
    """The PDF, what it is called, and the copy in it."""

    octets: bytes = field(repr=False)
    name: str
    snapshot: Snapshot


@transaction.atomic
def print_paper_copy(mesh: Mesh, passphrase: str, reason: str, by: str, now: datetime) -> Printed:
    """The newest sound copy of the mesh on paper. The numbers that it may give go into the counter ledger.

    Raises PaperRefused for a reason that is missing or holds a secret, a passphrase that was not drawn here, or a copy
    that cannot be given.
    """
    if not is_drawn(passphrase):
        raise PaperRefused("passphrase: it is not the one that was offered; open the page again.")
    try:
        reason = reason_beside(passphrase, reason)
    except ReasonRefused as error:
        raise PaperRefused(str(error)) from None
    try:
        copy = insist_on_copy(mesh, restorable(mesh))
    except GrantRefused as error:
        raise PaperRefused(str(error)) from None
    picture = counter_picture(mesh, now, key_mark=copy.key_mark, key_sequence=copy.key_sequence)
    if picture is None:
        raise PaperRefused(
            "The counter ledger has no line for the key of this copy; no safe number can be given."
        )
    contents = _contents(mesh, copy, picture, now)
    whole = making.seal(contents, passphrase, os.urandom(SALT_OCTETS), os.urandom(NONCE_OCTETS))
    octets = drawing.draw(_facts(mesh, copy, whole, now), Paper(mesh.site.paper_size))
    spoken_for = picture.start.value + DAYS_KEPT_FREE * picture.per_day
    note_number(mesh, copy, min(spoken_for, SPACE_END - 1), by, now)
    journal.record(by, "paper copy printed", mesh.code, now, snapshot=str(copy.uid), reason=reason)
    return Printed(octets, f"{mesh.code}-paper-copy-{now:%Y-%m-%d}.pdf", copy)


def _contents(mesh: Mesh, copy: Snapshot, picture: CounterPicture, now: datetime) -> making.Contents:
    guide = guide_of(copy.guide) if copy.guide else None
    try:
        body = open_body(copy.sealed_body)
        start = picture.start.writable()
        written = advance(body, guide, start)
    except (SealError, PackError) as error:
        raise PaperRefused(f"The copy does not open: {error}.") from None
    except (WriteBackError, ReadError, CounterError) as error:
        raise PaperRefused(f"No number can be put into this document: {error}.") from None
    return making.Contents(
        document=body,
        mesh=mesh.code,
        taken_at=copy.taken_at.isoformat(),
        was=copy.outgoing_counter,
        counter=start,
        per_day=picture.per_day,
        as_of=now.astimezone(UTC).date(),
        edits=edits_between(body, written, start - copy.outgoing_counter),
        layout=to_json(guide) if guide else "",
    )


def _facts(mesh: Mesh, copy: Snapshot, whole: bytes, now: datetime) -> PaperCopyFacts:
    try:
        codes = making.codes_of(whole)
    except ValueError as error:
        raise PaperRefused(f"The copy is too large for paper: {error}.") from None
    return PaperCopyFacts(
        firm=firm_facts(),
        home=home_facts(mesh.site),
        mesh_code=with_check(mesh.code),
        made_at=at_home(now, mesh.site).replace(microsecond=0),
        taken_at=at_home(copy.taken_at, mesh.site),
        devices=copy.node_count,
        digest=sha256(whole).hexdigest(),
        codes=codes,
        lines=making.lines_of(whole),
    )
