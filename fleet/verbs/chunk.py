"""One chunk of a round: claim it, bring each of its meshes up to date, put it down or finish it.

Each mesh is a transaction of its own, in which the chunk also moves on. So a mesh is done once and once only: a worker
that was killed leaves no half-done mesh, and one that comes back after another has taken its chunk changes nothing.
"""

import logging
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from functools import partial

from django.conf import settings
from django.db import InterfaceError, OperationalError, transaction
from django.db.models import F, OuterRef, Q, QuerySet, Subquery

from fleet.models import Mesh, Round, RoundChunk, Snapshot
from fleet.planning.clock import counted_from
from fleet.queries.clock import Clock
from fleet.queries.spares import SpareShelf
from fleet.verbs import assess, keep, repack
from sites.models import Site

log = logging.getLogger(__name__)

# A mesh at which the chunk was claimed so often and never got past is stepped over: it kills its workers.
MOST_TRIES = 5

Step = Callable[[], None]


class Outcome(StrEnum):
    """What became of a chunk. ELSEWHERE: another holds it, or it is done, or its round has ended."""

    DONE = "done"
    PUT_DOWN = "put down"
    ELSEWHERE = "elsewhere"


@dataclass(frozen=True, slots=True)
class Holder:
    """Who works on a chunk: a token that one holder alone has, even when handed the work again, and a name to show."""

    token: str
    name: str = ""


class LostClaim(Exception):
    """Another has taken the chunk, or the round was stopped."""


@dataclass(frozen=True, slots=True)
class Shared:
    """What every mesh of a chunk is judged with, read once."""

    round: Round
    shelf: SpareShelf
    homes: dict[int, Site]
    counted: Callable[[datetime], datetime]

    @classmethod
    def load(cls, report: Round, meshes: QuerySet[Mesh]) -> "Shared":
        doubts = Round.objects.filter(doubted_time__gt=timedelta(0)).values_list("started_at", "doubted_time")
        homes = Site.objects.filter(meshes__in=meshes).select_related("client").prefetch_related("agreements")
        return cls(
            report,
            SpareShelf.load(),
            {home.pk: home for home in homes},
            partial(counted_from, doubts=list(doubts)),
        )


def in_care() -> QuerySet[Mesh]:
    """The meshes that rounds judge."""
    return Mesh.objects.filter(in_care=True)


def lease() -> timedelta:
    """How long a sign of a worker holds its chunk."""
    return timedelta(seconds=settings.ROUND_LEASE_SECONDS)


def is_free(now: datetime) -> Q:
    """Chunks that nobody holds: put down, or without a sign for longer than the lease (or with one from the future)."""
    return Q(token="") | Q(sign_at__lt=now - lease()) | Q(sign_at__gt=now + lease())


def work_on(
    round_id: int,
    number: int,
    holder: Holder,
    clock: Clock,
    step: Step | None = None,
    until: datetime | None = None,
) -> Outcome:
    """Claim a chunk and do what is left of it; put it down between two meshes after `until`.

    Trouble with one mesh is noted and the next one follows. Trouble with the database is raised: the chunk stays where
    it was, for whoever claims it next.
    """
    chunk = _claim(round_id, number, holder, clock())
    if chunk is None:
        return Outcome.ELSEWHERE
    try:
        return _go_through(chunk, clock, step, until)
    except LostClaim:
        return Outcome.ELSEWHERE
    except (OperationalError, InterfaceError):
        raise
    except BaseException:
        # Stopped on purpose, such as a worker told to end: nobody need wait to see that this one is gone.
        _mine(chunk).update(token="", holder="")
        raise


@transaction.atomic
def _claim(round_id: int, number: int, holder: Holder, now: datetime) -> RoundChunk | None:
    free = is_free(now) | Q(token=holder.token)
    chunks = RoundChunk.objects.filter(free, round=round_id, number=number, finished_at=None)
    chunk = chunks.select_for_update(of=("self",)).select_related("round").first()
    if chunk is None:
        return None
    chunk.token, chunk.holder, chunk.sign_at = holder.token, holder.name[:120], now
    chunk.claim += 1
    chunk.tries += 1
    chunk.save(update_fields=["token", "holder", "sign_at", "claim", "tries"])
    return chunk


def _go_through(chunk: RoundChunk, clock: Clock, step: Step | None, until: datetime | None) -> Outcome:
    left = in_care().filter(pk__gt=chunk.after_mesh, pk__lte=chunk.last_mesh)
    shared = Shared.load(chunk.round, left)
    for place, mesh_id in enumerate(left.order_by("pk").values_list("pk", flat=True)):
        now = clock()
        if until is not None and now >= until:
            _mine(chunk).update(token="", holder="")
            return Outcome.PUT_DOWN
        if place == 0 and chunk.tries > MOST_TRIES:
            _note_error(chunk, mesh_id, None, now)
        else:
            _one(chunk, mesh_id, shared, now)
        if step:
            step()
    _change(chunk, finished_at=clock(), token="", holder="")
    return Outcome.DONE


def _one(chunk: RoundChunk, mesh_id: int, shared: Shared, now: datetime) -> None:
    try:
        with transaction.atomic():
            mesh = _locked(mesh_id, shared)
            marked, erased = _bring_up(mesh, shared) if mesh else (0, 0)
            _move_on(chunk, mesh_id, now, marked=F("marked") + marked, erased=F("erased") + erased)
    except (LostClaim, OperationalError, InterfaceError):
        raise
    except Exception as error:
        _note_error(chunk, mesh_id, error, now)


def _locked(mesh_id: int, shared: Shared) -> Mesh | None:
    """The mesh as it stands, held against arriving copies until this transaction ends; None where it left the book."""
    # Locked before anything is joined: PostgreSQL reads a row again that it waited for, but neither the keep rule
    # joined to it nor the newest copy looked up beside it.
    one = in_care().filter(pk=mesh_id).order_by()
    if not one.select_for_update(of=("self",), no_key=True).values_list("pk", flat=True):
        return None
    newest = Snapshot.objects.filter(mesh=OuterRef("pk")).order_by("-taken_at", "-id")
    meshes = (
        in_care().select_related("keep_rule").annotate(came_at=Subquery(newest.values("received_at")[:1]))
    )
    mesh = meshes.get(pk=mesh_id)
    if mesh.site_id in shared.homes:
        mesh.site = shared.homes[mesh.site_id]
    return mesh


def _bring_up(mesh: Mesh, shared: Shared) -> tuple[int, int]:
    """Keep rules, packing, readiness, findings; how many copies were marked and erased."""
    report = shared.round
    kept = keep.apply_rule(mesh, report.started_at, report.may_erase, shared.counted)
    repack.repack(mesh, report.started_at)
    # A copy that came while the round runs was taken after its moment, and must not seem to come from the future.
    moment = max(report.started_at, mesh.came_at or report.started_at)
    assess.assess(mesh, shared.shelf, moment, report)
    return kept.marked, kept.erased


def _note_error(chunk: RoundChunk, mesh_id: int, error: Exception | None, now: datetime) -> None:
    """The kind of error only: its text might carry what it was working on. The log has the rest, by this number.

    No error: workers were killed at this mesh again and again.
    """
    code = Mesh.objects.values_list("code", flat=True).get(pk=mesh_id)
    kind, number = type(error).__name__ if error else "WorkerLost", secrets.token_hex(4)
    log.error("round %s, error %s at mesh %s: %s", chunk.round_id, number, code, kind, exc_info=error)
    chunk.errors = [*chunk.errors, {"mesh": code, "error": kind, "id": number}]
    _move_on(chunk, mesh_id, now, errors=chunk.errors)


def _move_on(chunk: RoundChunk, mesh_id: int, now: datetime, **changes: object) -> None:
    _change(chunk, after_mesh=mesh_id, done=F("done") + 1, sign_at=now, tries=1, **changes)


def _change(chunk: RoundChunk, **changes: object) -> None:
    if not _mine(chunk).update(**changes):
        raise LostClaim(
            f"Chunk {chunk.number} of round {chunk.round_id} was taken by another, or the round ended."
        )


def _mine(chunk: RoundChunk) -> QuerySet[RoundChunk]:
    """The row, as long as nobody has claimed it since."""
    return RoundChunk.objects.filter(pk=chunk.pk, claim=chunk.claim, finished_at=None)
