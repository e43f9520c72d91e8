"""Install codes of devices: entered, shown and forgotten. The journal says which device and why, never a digit."""

import os
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from django.db import transaction

from fleet import keyring
from fleet.mesh.install_codes import link_key_of, parse_install_code
from fleet.models import InstallCode, Node
from fleet.queries.sealed import open_code, place_of_code, plain_data_key
from fleet.snapshots import digests, sealing
from fleet.snapshots.secret_words import looks_secret
from fleet.verbs import journal
from fleet.verbs.seal import NONCE_OCTETS, data_key_for

CLOSED = (sealing.SealError, keyring.KeyRingError)


class CodeRefused(Exception):
    """Nothing was done; the sentence says why and what would be right."""


class Kept(StrEnum):
    """What became of a code that somebody entered."""

    ENTERED = "entered"
    REPLACED = "replaced"
    SAME = "was here before"


@dataclass(frozen=True, slots=True)
class Revealed:
    """A code without its check, and the 16-octet link key that the device makes of it."""

    code: bytes = field(repr=False)
    link_key: bytes = field(repr=False)


@transaction.atomic
def enter(node: Node, typed: str, by: str, now: datetime) -> Kept:
    """Seal a device's install code in place of the one held, if any. The same code again changes nothing.

    Raises InstallCodeError where it cannot be right, CodeRefused where nothing can be sealed for this client.
    """
    code = parse_install_code(typed)
    # Two who enter one at the same moment queue up here.
    node = Node.objects.select_for_update(of=("self",)).select_related("mesh__site__client").get(pk=node.pk)
    held = InstallCode.objects.filter(node=node).select_related("data_key", "node__mesh").first()
    if held and _opens_to(held, code):
        return Kept.SAME
    if held:
        held.delete()
    row = InstallCode(node=node, data_key=data_key_for(node.mesh, now), entered_by=by, entered_at=now)
    _seal(row, code)
    row.save(force_insert=True)
    kept = Kept.REPLACED if held else Kept.ENTERED
    _note(f"install code {kept.value}", node, by, now)
    return kept


@transaction.atomic
def reveal(node: Node, reason: str, by: str, now: datetime) -> Revealed:
    """The code in clear, for a reason that goes into the journal. Raises CodeRefused."""
    reason = in_words(reason)
    code = _opened(_held(node))
    _note("install code shown", node, by, now, reason=reason)
    return Revealed(code, link_key_of(code))


@transaction.atomic
def forget(node: Node, because: str, by: str, now: datetime) -> None:
    """Take a device's code out of the book. Raises CodeRefused."""
    because = in_words(because)
    _held(node).delete()
    _note("install code forgotten", node, by, now, reason=because)


def _held(node: Node) -> InstallCode:
    row = InstallCode.objects.filter(node=node).select_related("data_key", "node__mesh").first()
    if row is None:
        raise CodeRefused("No install code is held for this device.")
    return row


def in_words(reason: str) -> str:
    """A reason as the journal may have it. Raises CodeRefused where it is empty or looks like a secret."""
    reason = reason.strip()
    if not reason:
        raise CodeRefused("A reason is needed, in a few words: it goes into the journal.")
    if looks_secret(reason):
        raise CodeRefused(
            "This looks like a code or a key. The reason goes into the journal: write words only."
        )
    return reason


def _seal(row: InstallCode, code: bytes) -> None:
    try:
        key = plain_data_key(row.data_key)
    except CLOSED as error:
        raise CodeRefused(str(error)) from None
    row.sealed = sealing.seal(key, code, place_of_code(row), os.urandom(NONCE_OCTETS))
    row.mark = digests.code_mark(keyring.load().digest_key, code)


def _opened(row: InstallCode) -> bytes:
    try:
        return open_code(row)
    except CLOSED as error:
        raise CodeRefused(f"The install code does not open: {error}") from None


def _opens_to(row: InstallCode, code: bytes) -> bool:
    """False for a damaged row too: entering its code again mends it."""
    try:
        return open_code(row) == code
    except sealing.SealError:
        return False


def _note(what: str, node: Node, by: str, now: datetime, **details: str) -> None:
    journal.record(by, what, node.mesh.code, now, device=node.extended_address, **details)
