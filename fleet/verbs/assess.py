"""Judging one mesh and writing what came out: readiness, minutes, currency of its copies, standing findings."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction
from django.db.models import Case, Q, Value, When

from fleet.mesh.addresses import show_eui64
from fleet.models import JUDGED_GRADES, Currency, Finding, Mesh, ReadinessChange, Round
from fleet.models.mesh import WRITTEN_BY_ROUNDS
from fleet.planning.estimating import ThreePoints, rejoin_minutes
from fleet.planning.readiness import Readiness
from fleet.planning.readiness import assess as through_gates
from fleet.planning.sentences import as_plain
from fleet.planning.shortening import shortened
from fleet.planning.standing import Neighbour, StandingFacts, standing_findings
from fleet.queries.facts import class_counts, room_in
from fleet.queries.headroom import outlook_of
from fleet.queries.install_codes import shared_in
from fleet.queries.intake import keep_limit_hours
from fleet.queries.joins import observed_joins
from fleet.queries.readiness import Judged, judged
from fleet.queries.spares import SpareShelf
from fleet.verbs.findings import columns_of

# As long as the columns of the reason and the act.
MOST_CHARACTERS = 300


@transaction.atomic(savepoint=False)
def assess(mesh: Mesh, shelf: SpareShelf, now: datetime, found_by: Round | None = None) -> Readiness:
    """Judge the mesh as of now and store the judgement on its row, and a row of its own where the state has changed."""
    observed = observed_joins(mesh)
    mesh.joins_per_month = mesh.joins_per_month if observed is None else observed
    _move_currency(mesh, now)
    case = judged(mesh, shelf, now)
    result = through_gates(case.facts)
    was = mesh.readiness if mesh.assessed_at else ""
    _write(case, result, shelf, now)
    if was != mesh.readiness:
        _note_change(mesh, was, now, found_by)
    _stand(case, now)
    return result


def _note_change(mesh: Mesh, was: str, now: datetime, found_by: Round | None) -> None:
    ReadinessChange.objects.create(
        mesh=mesh,
        round=found_by,
        at=now,
        was=was,
        became=mesh.readiness,
        gate=mesh.readiness_gate,
        reason=mesh.readiness_reason,
        told=mesh.readiness_told["reason"],
    )


def _move_currency(mesh: Mesh, now: datetime) -> None:
    """Copies within the limit are fresh, older ones stale; a locked-out copy stays locked out."""
    edge = now - timedelta(hours=keep_limit_hours(mesh, now))
    aged, young = (
        Q(currency=Currency.FRESH, taken_at__lt=edge),
        Q(currency=Currency.STALE, taken_at__gte=edge),
    )
    right = Case(When(taken_at__lt=edge, then=Value(Currency.STALE)), default=Value(Currency.FRESH))
    mesh.snapshots.filter(aged | young, grade__in=JUDGED_GRADES).update(currency=right)


def _write(case: Judged, result: Readiness, shelf: SpareShelf, now: datetime) -> None:
    mesh = case.mesh
    spare = next((each for each in case.facts.spares if each.code == result.spare), None)
    minutes = spare.restore_minutes if spare else None
    mesh.readiness = result.state.value
    mesh.readiness_rank = result.state.severity
    mesh.readiness_gate = result.first_failing.value if result.first_failing else ""
    mesh.readiness_reason = shortened(result.reason, MOST_CHARACTERS)
    mesh.readiness_act = shortened(result.act, MOST_CHARACTERS)
    mesh.readiness_told = {
        "reason": as_plain(result.why),
        "act": as_plain(result.helps) if result.helps else None,
    }
    mesh.minutes_low, mesh.minutes_likely, mesh.minutes_high = _rounded(minutes)
    mesh.rejoin_minutes = round(rejoin_minutes(class_counts(case.nodes)).likely) if case.nodes else None
    mesh.best_spare = next((each.row for each in shelf.spares if each.row.code == result.spare), None)
    mesh.assessed_at = now
    mesh.save(update_fields=WRITTEN_BY_ROUNDS)


def _rounded(minutes: ThreePoints | None) -> tuple[int | None, int | None, int | None]:
    if minutes is None:
        return None, None, None
    return round(minutes.low), round(minutes.likely), round(minutes.high)


def _stand(case: Judged, now: datetime) -> None:
    """Replace the mesh's standing findings; one that stays keeps the day on which it was first found."""
    found = {finding.code: finding for finding in standing_findings(_standing_facts(case, now))}
    known = {row.code: row for row in case.mesh.findings.filter(snapshot=None)}
    Finding.objects.filter(pk__in=[row.pk for code, row in known.items() if code not in found]).delete()
    for code, finding in found.items():
        texts = columns_of(finding)
        row = known.get(code)
        if row is None:
            Finding.objects.create(mesh=case.mesh, code=code, found_at=now, **texts)
        elif any(getattr(row, name) != text for name, text in texts.items()):
            Finding.objects.filter(pk=row.pk).update(**texts)


def _standing_facts(case: Judged, now: datetime) -> StandingFacts:
    mesh, radio = case.mesh, case.radio
    today = now.astimezone(ZoneInfo(mesh.site.time_zone)).date()
    agreement = mesh.site.agreement_on(today)
    room = room_in(mesh, radio.model if radio else None)
    ahead = outlook_of(mesh, room, now)
    siblings = Mesh.objects.filter(site=mesh.site_id, in_care=True).exclude(pk=mesh.pk)
    shared = Mesh.objects.none()
    if mesh.key_digest is not None:
        # The mark is the start of the digest, and has an index.
        same = Mesh.objects.filter(key_mark=mesh.key_mark, key_digest=mesh.key_digest)
        shared = same.exclude(pk=mesh.pk).order_by("code")
    return StandingFacts(
        mesh_code=mesh.code,
        channel=mesh.channel,
        pan_id=mesh.pan_id,
        room=room,
        months_left=ahead.months_left if ahead else None,
        neighbours=tuple(Neighbour(each.code, each.channel, each.pan_id) for each in siblings),
        firmware=radio.firmware.version if radio and radio.firmware else None,
        firmware_policy=radio.firmware.policy if radio and radio.firmware else None,
        agreement_ends_on=agreement.ends_on if agreement else None,
        today=today,
        key_shared_with=tuple(shared.values_list("code", flat=True)),
        codes_shared=tuple(
            f"{show_eui64(each.address)} and {each.other_mesh} {show_eui64(each.other_address)}"
            for each in shared_in(mesh)
        ),
    )
