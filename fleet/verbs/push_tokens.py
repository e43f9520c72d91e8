"""Tokens that let one machine push snapshots of one mesh, and nothing else."""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.db import transaction

from fleet.models import Mesh, PushToken
from fleet.verbs import journal

USE_NOTED_EVERY = timedelta(minutes=1)


def digest_of(text: str) -> bytes:
    """What is stored of a token. It is 256 random bits, so a plain SHA-256 cannot be guessed back."""
    return hashlib.sha256(text.encode()).digest()


@transaction.atomic
def make(mesh: Mesh, label: str, by: str, now: datetime) -> tuple[PushToken, str]:
    """A new token for this mesh. The text is returned once and never stored."""
    text = secrets.token_urlsafe(32)
    row = PushToken.objects.create(mesh=mesh, digest=digest_of(text), label=label, made_at=now, made_by=by)
    journal.record(by, "push token made", mesh.code, now, label=label)
    return row, text


@transaction.atomic
def revoke(token: PushToken, by: str, now: datetime) -> None:
    """End a token at once; a second call changes nothing."""
    if token.revoked_at is None:
        token.revoked_at = now
        token.save(update_fields=["revoked_at"])
        journal.record(by, "push token ended", token.mesh.code, now, label=token.label)


def note_use(token: PushToken, now: datetime) -> None:
    """Remember the last use, at most once a minute: a push should not rewrite this row each time."""
    if token.last_used_at is None or now - token.last_used_at > USE_NOTED_EVERY:
        PushToken.objects.filter(pk=token.pk).update(last_used_at=now)
