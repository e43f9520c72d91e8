"""What goes with a client's data key: the octets under it, what rows say in clear, and the meshes' place in care.

Parts of verbs.erase, called inside its transaction. Each gives back how many of each thing went, by name.
"""

from collections.abc import Sequence
from datetime import datetime

from django.db.models import QuerySet

from fleet.models import (
    Arrival,
    DataKey,
    EndReason,
    Finding,
    Mesh,
    Node,
    PackingBase,
    PassageUnit,
    PushToken,
    Radio,
    RadioState,
    RankedSwap,
    Rehearsal,
    RehearsalEnd,
    RehearsalStep,
    Replacement,
    ReplacementMove,
    SealedBody,
    ServicePeriod,
    StormExercise,
    TrayItem,
    Visit,
    VisitState,
    VisitTask,
    VisitWaiver,
    VisitWork,
)
from fleet.planning.readiness import State as Readiness
from fleet.planning.replacing.states import State
from sites.models import Client


def delete_sealed(key: DataKey) -> dict[str, int]:
    """All octets under the key, whatever kind of row holds them."""
    counts = {
        "sealed_documents": _deleted(SealedBody.objects.filter(data_key=key)),
        # Leaves before roots: no base may be without the one that it is packed against.
        "packing_bases": _deleted(PackingBase.objects.filter(data_key=key).exclude(root=None))
        + _deleted(PackingBase.objects.filter(data_key=key)),
    }
    for link in DataKey._meta.related_objects:
        if link.related_model not in (SealedBody, PackingBase):
            rows = link.related_model._default_manager.filter(**{link.field.name: key})
            counts[link.get_accessor_name()] = _deleted(rows)
    return counts


def _deleted(rows: QuerySet) -> int:
    count = rows.count()
    rows.delete()
    return count


def clear_rows(meshes: Sequence[Mesh], now: datetime, by: str) -> dict[str, int]:
    """Take out of the rows what they say in clear of the documents: names, file names, what stood wrong where."""
    mine = {"mesh__in": meshes}
    nodes = Node.objects.filter(**mine)
    named = nodes.exclude(label="", room="", by_hand="", wake="").count()
    nodes.update(label="", room="", by_hand="", wake="", link_key_held=False)
    Arrival.objects.filter(snapshot__mesh__in=meshes).update(file_name="")
    PassageUnit.objects.filter(**mine).update(what="")
    RankedSwap.objects.filter(**mine).delete()
    _forget_storms({mesh.code for mesh in meshes})
    findings = _deleted(Finding.objects.filter(**mine))
    tray = TrayItem.objects.filter(**mine)
    tray.update(problems=[], file_name="")
    waiting = tray.filter(cleared_at=None).update(
        cleared_at=now, cleared_by=by, cleared_because="erased with the client"
    )
    return {"device_names": named, "findings": findings, "tray_documents": waiting}


def _forget_storms(codes: set[str]) -> None:
    """An exercise keeps where homes lie, so those in which one of these meshes was out go whole."""
    for row in StormExercise.objects.only("case"):
        if codes & {mesh["code"] for mesh in row.case["meshes"]}:
            row.delete()


def end_care(meshes: Sequence[Mesh], now: datetime) -> dict[str, int]:
    """Out of care, judged by no round, and its identity free for whoever takes the home over."""
    tokens = PushToken.objects.filter(mesh__in=meshes, revoked_at=None).update(revoked_at=now)
    periods = ServicePeriod.objects.filter(mesh__in=meshes, until=None, since__lt=now)
    leaders = list(periods.values_list("radio", flat=True))
    periods.update(until=now, why_ended=EndReason.ENDED)
    # They may hold the key still: from here on they can be recorded wiped, returned or scrapped.
    Radio.objects.filter(pk__in=leaders, state=RadioState.ON_AIR).update(state=RadioState.SILENCED)
    _end_replacements(meshes, now)
    _end_rehearsals(meshes, now)
    Mesh.objects.filter(pk__in=[mesh.pk for mesh in meshes]).update(
        in_care=False,
        extended_pan_id=None,
        key_digest=None,
        seed_held=False,
        roll={},
        nodes_mark="",
        readiness=Readiness.UNKNOWN.value,
        readiness_rank=Readiness.UNKNOWN.severity,
        readiness_gate="",
        readiness_reason="The client was erased.",
        readiness_act="",
        readiness_told={},
        minutes_low=None,
        minutes_likely=None,
        minutes_high=None,
        rejoin_minutes=None,
        best_spare=None,
        assessed_at=now,
    )
    return {"push_tokens": tokens, "meshes": len(meshes)}


def end_visits(client: Client, now: datetime) -> None:
    """Nobody drives there any more, and no word of what was to be done there stays."""
    mine = Visit.objects.filter(site__client=client)
    tasks = VisitTask.objects.filter(visit__in=mine)
    mine.filter(state=VisitState.WANTED).update(
        state=VisitState.DROPPED, ended_at=now, ended_by="erased with the client"
    )
    mine.update(ended_because="")
    tasks.update(is_open=False)
    tasks.exclude(words="").update(words=VisitWork.OTHER.label)
    VisitWaiver.objects.filter(visit__in=mine).update(because="")


def _end_replacements(meshes: Sequence[Mesh], now: datetime) -> None:
    """None stays under way, its spare is free again unless it was written, and no word of the people stays."""
    mine = Replacement.objects.filter(mesh__in=meshes)
    for swap in mine.under_way():
        written = swap.number is not None
        Radio.objects.filter(pk=swap.new_radio_id, state__in=(RadioState.BOOKED, RadioState.PREPARED)).update(
            state=RadioState.SILENCED if written else RadioState.SHELVED
        )
        became = State.CLOSED if written else State.DROPPED
        ReplacementMove.objects.create(
            replacement=swap, was=swap.state, became=became.value, at=now, by="erased with the client"
        )
        Replacement.objects.filter(pk=swap.pk).update(state=became.value, moved_at=now)
    mine.update(consent_by="", asked_because="")
    ReplacementMove.objects.filter(replacement__in=mine).update(note="")


def _end_rehearsals(meshes: Sequence[Mesh], now: datetime) -> None:
    """No drill stays under way, and no word of where and what stays. A written spare is to be wiped as any other."""
    mine = Rehearsal.objects.filter(mesh__in=meshes)
    steps = RehearsalStep.objects.filter(rehearsal__in=mine)
    steps.filter(ended_at=None).update(ended_at=now, is_cut_short=True)
    mine.filter(ended_at=None).update(ended_at=now, end=RehearsalEnd.ABORTED)
    mine.update(spot="", note="")
    steps.update(problem="")
