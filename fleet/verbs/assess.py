"""Judging one mesh and writing what came out: readiness, minutes, currency of its copies, standing findings."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.mesh.capacity import DatedUse, Resource, growth_per_month, months_left
from fleet.models import JUDGED_GRADES, Currency, Finding, Mesh, Radio
from fleet.models.mesh import WRITTEN_BY_ROUNDS
from fleet.planning.estimating import ThreePoints, rejoin_minutes
from fleet.planning.readiness import Readiness
from fleet.planning.readiness import assess as through_gates
from fleet.planning.standing import Neighbour, StandingFacts, standing_findings
from fleet.queries.facts import class_counts, room_in
from fleet.queries.intake import keep_limit_hours
from fleet.queries.readiness import Judged, judged
from fleet.queries.spares import SpareShelf
from fleet.verbs.findings import columns_of

GROWTH_DAYS = 183


@transaction.atomic
def assess(mesh: Mesh, shelf: SpareShelf, now: datetime) -> Readiness:
    """Judge the mesh as of now and store the judgement on its row."""
    _move_currency(mesh, now)
    case = judged(mesh, shelf, now)
    result = through_gates(case.facts)
    _write(case, result, shelf, now)
    _stand(case, now)
    return result


def _move_currency(mesh: Mesh, now: datetime) -> None:
    """Copies within the limit are fresh, older ones stale; a locked-out copy stays locked out."""
    edge = now - timedelta(hours=keep_limit_hours(mesh, now))
    copies = mesh.snapshots.filter(grade__in=JUDGED_GRADES)
    copies.filter(currency=Currency.FRESH, taken_at__lt=edge).update(currency=Currency.STALE)
    copies.filter(currency=Currency.STALE, taken_at__gte=edge).update(currency=Currency.FRESH)


def _write(case: Judged, result: Readiness, shelf: SpareShelf, now: datetime) -> None:
    mesh = case.mesh
    spare = next((each for each in case.facts.spares if each.code == result.spare), None)
    minutes = spare.restore_minutes if spare else None
    mesh.readiness = result.state.value
    mesh.readiness_rank = result.state.severity
    mesh.readiness_gate = result.first_failing.value if result.first_failing else ""
    mesh.readiness_reason = result.reason[:300]
    mesh.readiness_act = result.act[:300]
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
    siblings = Mesh.objects.filter(site=mesh.site_id, in_care=True).exclude(pk=mesh.pk)
    shared = Mesh.objects.none()
    if mesh.key_digest is not None:
        shared = Mesh.objects.filter(key_digest=mesh.key_digest).exclude(pk=mesh.pk).order_by("code")
    return StandingFacts(
        mesh_code=mesh.code,
        channel=mesh.channel,
        pan_id=mesh.pan_id,
        room=room,
        months_left=_months_left(case, room.tightest, now),
        neighbours=tuple(Neighbour(each.code, each.channel, each.pan_id) for each in siblings),
        firmware=radio.firmware.version if radio and radio.firmware else None,
        firmware_policy=radio.firmware.policy if radio and radio.firmware else None,
        agreement_ends_on=agreement.ends_on if agreement else None,
        today=today,
        key_shared_with=tuple(shared.values_list("code", flat=True)),
    )


def _months_left(case: Judged, tightest: Resource | None, now: datetime) -> float | None:
    """Until the tightest table is full, at the growth of the last half year."""
    if tightest is None or case.radio is None:
        return None
    name = "devices" if tightest is Resource.OBSERVED_CEILING else tightest.value
    since = now - timedelta(days=GROWTH_DAYS)
    copies = case.mesh.snapshots.filter(grade__in=JUDGED_GRADES, taken_at__gte=since)
    uses = [
        DatedUse(taken_at, use[name])
        for taken_at, use in copies.order_by("taken_at").values_list("taken_at", "table_use")
        if name in use
    ]
    limit = _limit_of(case.radio, name)
    if limit is None or not uses:
        return None
    return months_left(uses[-1].used, limit, growth_per_month(uses, now))


def _limit_of(radio: Radio, name: str) -> int | None:
    return min((row.value for row in radio.model.limits.all() if row.resource == name), default=None)
