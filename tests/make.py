"""Builders with honest defaults: each makes one row that the database accepts, and what it cannot do without.

Whatever a test is about it names itself; the rest is plain and stays out of sight. `NOW` is the moment the
defaults are written for.
"""

import hashlib
from datetime import UTC, date, datetime, time, timedelta
from itertools import count
from typing import Any

from django.core.files.base import ContentFile

from fleet.mesh.codes import sheet_number
from fleet.models import (
    AddressPolicy,
    Arrival,
    ChannelSurvey,
    Connection,
    CounterEvidence,
    Currency,
    DataKey,
    DrawnMesh,
    Drill,
    DrillDraw,
    DrillKind,
    DrillResult,
    EvidenceKind,
    Finding,
    FirmwarePolicy,
    FirmwareRelease,
    Grade,
    How,
    JournalEntry,
    KeepRule,
    LimitSource,
    LinkKeyStore,
    Mesh,
    Message,
    MessageKind,
    ModelLimit,
    Node,
    Passage,
    PassageRing,
    PassageTurn,
    PassageUnit,
    Pin,
    PinKind,
    Place,
    PlaceKind,
    PushToken,
    Radio,
    RadioModel,
    RadioState,
    Rehearsal,
    RehearsalStep,
    Replacement,
    Resource,
    Round,
    RoundState,
    SealedBody,
    ServicePeriod,
    SilenceProof,
    Silencing,
    Snapshot,
    TrayItem,
    TrayReason,
    Visit,
    VisitPlan,
    VisitTask,
    VisitWindow,
    VisitWork,
    Why,
    WifiHeard,
    Wishes,
)
from fleet.planning.readiness import State
from fleet.snapshots.facts import Power, Role
from fleet.verbs.replacing.photos import seal_photo
from reports.models import Remaking, Sheet, SheetKind, SheetLink, SheetMail, SheetToMake, Signature
from sites.models import Agreement, Client, Contact, ContactKind, Firm, Licence, Person, Site, WorkingTime
from sites.models import Role as PersonRole

NOW = datetime(2027, 3, 26, 8, 0, tzinfo=UTC)
PASSWORD = "nine plain words that nobody else would think of"

_serial = count(1)
_homes = count(1)  # of its own: a home's code has four digits at most


def _digest(text: str) -> bytes:
    return hashlib.sha256(text.encode()).digest()


def address(serial: int | None = None) -> str:
    """A locally administered EUI-64 that no other row has."""
    return f"02A4C138{serial if serial is not None else next(_serial):08X}"


def firm(**given: Any) -> Firm:
    return Firm.objects.create(**{"name": "Hollin & Weir", "night_phone": "+44 1632 960100", **given})


def person(**given: Any) -> Person:
    """Somebody who can sign in with PASSWORD; a technician unless said otherwise."""
    name = given.pop("username", f"person{next(_serial)}")
    return Person.objects.create_user(name, password=given.pop("password", PASSWORD), **given)


def licence(person: Person, **given: Any) -> Licence:
    """One for mains that holds for years, unless said otherwise."""
    return Licence.objects.create(
        **{"person": person, "kind": Licence.MAINS, "valid_until": date(2031, 1, 1), **given}
    )


def working_week(person: Person, begins: time = time(8), ends: time = time(17)) -> list[WorkingTime]:
    """Monday to Friday, the same hours each day."""
    return WorkingTime.objects.bulk_create(
        WorkingTime(person=person, weekday=day, begins=begins, ends=ends) for day in range(5)
    )


def subcontractor(*homes: Site, **given: Any) -> Person:
    """A partner who is named for these homes, with access that has not ended."""
    ends = {"role": PersonRole.SUBCONTRACTOR, "access_ends_on": date(2999, 1, 1)}
    partner = person(**{**ends, **given})
    partner.sites.set(homes)
    return partner


def client(**given: Any) -> Client:
    return Client.objects.create(**{"name": f"Client {next(_serial)}", **given})


def site(**given: Any) -> Site:
    defaults = {
        "code": f"HOME-{next(_homes)}",
        "name": "town house",
        "address_lines": "1 Example Row",
        "country": "NO",
        "time_zone": "Europe/Oslo",
        "latitude": "68.15000",
        "longitude": "14.20000",
    }
    if "client" not in given:
        given["client"] = client()
    return Site.objects.create(**{**defaults, **given})


def contact(home: Site, **given: Any) -> Contact:
    defaults = {"kind": ContactKind.CLIENT, "name": "Somebody at home", "phone": "+47 99 00 00 00"}
    return Contact.objects.create(site=home, **{**defaults, **given})


def agreement(home: Site, **given: Any) -> Agreement:
    defaults = {"starts_on": date(2026, 1, 1), "recovery_point_hours": 168, "recovery_time_minutes": 240}
    return Agreement.objects.create(site=home, **{**defaults, **given})


def radio_model(**given: Any) -> RadioModel:
    n = next(_serial)
    defaults = {
        "code": f"M{n}",
        "maker": "Alder Works",
        "name": f"A{n}",
        "family": "P",
        "connection": Connection.SERIAL,
        "address_policy": AddressPolicy.REWRITABLE,
        "link_key_store": LinkKeyStore.EXPLICIT,
    }
    return RadioModel.objects.create(**{**defaults, **given})


def limit(model: RadioModel, resource: Resource, value: int, **given: Any) -> ModelLimit:
    defaults = {"source": LimitSource.DECLARED, "noted_on": date(2026, 1, 1)}
    return ModelLimit.objects.create(model=model, resource=resource, value=value, **{**defaults, **given})


def release(model: RadioModel | None = None, **given: Any) -> FirmwareRelease:
    defaults = {"version": f"7.{next(_serial)}", "policy": FirmwarePolicy.ALLOWED}
    return FirmwareRelease.objects.create(model=model or radio_model(), **{**defaults, **given})


def passage(*units: Radio, **given: Any) -> Passage:
    """One under way, from the build of these radios to a new one, with all of them in its open bench ring."""
    source = given.pop("source", None) or (units[0].firmware if units else release())
    assert source is not None
    defaults = {"because": "it mends late locks", "begun_at": NOW, "begun_by": "Orla", "need": 59}
    if "target" not in given:
        given["target"] = release(source.model)
    row = Passage.objects.create(model=source.model, source=source, **{**defaults, **given})
    ring = passage_ring(row, *units)
    PassageTurn.objects.create(passage=row, what="begun", at=ring.opened_at, by="Orla")
    return row


def passage_ring(row: Passage, *units: Radio, **given: Any) -> PassageRing:
    """The next ring of a passage, open, with these radios; on the bench unless said otherwise."""
    defaults = {"kind": "bench", "number": row.rings.count() + 1, "soak_days": 7, "opened_at": NOW}
    ring = PassageRing.objects.create(passage=row, **{**defaults, **given})
    PassageUnit.objects.bulk_create(
        PassageUnit(ring=ring, radio=unit, number=turn) for turn, unit in enumerate(units, start=1)
    )
    return ring


def place(**given: Any) -> Place:
    defaults = {"code": f"VAN-{next(_serial)}", "name": "Van", "kind": PlaceKind.VAN}
    return Place.objects.create(**{**defaults, **given})


def place_at(home: Site) -> Place:
    """The home as a place where radios lie."""
    return place(code=home.code, name=home.name, kind=PlaceKind.HOME, site=home)


def radio(**given: Any) -> Radio:
    if "model" not in given:
        given["model"] = given["firmware"].model if given.get("firmware") else radio_model()
    n = next(_serial)
    defaults = {"code": f"R-{n}", "serial": f"S{n:06d}", "factory_address": address(n)}
    return Radio.objects.create(**{**defaults, **given})


def spare(**given: Any) -> Radio:
    """A radio on the shelf with allowed firmware, proven blank."""
    defaults = {"blank_proven_at": NOW - timedelta(days=30), "blank_proven_by": "Pekka"}
    if "firmware" not in given and "model" not in given:
        given["firmware"] = release()
    return radio(**{**defaults, **given})


def keep_rule(**given: Any) -> KeepRule:
    return KeepRule.objects.create(**{"name": f"Rule {next(_serial)}", **given})


def mesh(**given: Any) -> Mesh:
    """A mesh in care that no round has judged yet; `readiness` sets the rank that belongs to it."""
    home = given.pop("site", None) or site()
    n = next(_serial)
    defaults = {
        "code": f"{home.code}-{chr(ord('A') + home.meshes.count())}",
        "extended_pan_id": f"02D1CE00{n:08X}",
        "head_address": address(n),
        "pan_id": 0x1A2B,
        "channel": 20,
        "key_mark": f"{n:08X}",
        "key_sequence": 0,
    }
    if "readiness" in given:
        defaults["readiness_rank"] = State(given["readiness"]).severity
        defaults["assessed_at"] = NOW
    return Mesh.objects.create(site=home, **{**defaults, **given})


def service(network: Mesh, unit: Radio | None = None, **given: Any) -> ServicePeriod:
    """The radio that leads a mesh now, on air under the mesh's own identity."""
    unit = unit or radio(state=RadioState.ON_AIR, firmware=release(), carried_address=network.head_address)
    defaults = {
        "head_address": network.head_address,
        "extended_pan_id": network.extended_pan_id,
        "since": NOW - timedelta(days=400),
    }
    return ServicePeriod.objects.create(mesh=network, radio=unit, **{**defaults, **given})


def node(network: Mesh, **given: Any) -> Node:
    defaults = {
        "extended_address": address(),
        "role": Role.END_DEVICE.value,
        "power": Power.BATTERY.value,
        "label": "window contact",
        "room": "hall",
    }
    return Node.objects.create(mesh=network, **{**defaults, **given})


def snapshot(network: Mesh, **given: Any) -> Snapshot:
    """A sound, fresh copy of yesterday; its document is not sealed here."""
    n = next(_serial)
    taken_at = given.get("taken_at", NOW - timedelta(days=1))
    defaults = {
        "taken_at": taken_at,
        "received_at": taken_at + timedelta(minutes=5),
        "layout": "own layout 1",
        "size_octets": 15_000,
        "sha256": hashlib.sha256(str(n).encode()).hexdigest(),
        "body_mark": _digest(f"body {n}"),
        "meaning_mark": _digest(f"meaning {n}"),
        "key_mark": network.key_mark or "00000000",
        "key_sequence": network.key_sequence or 0,
        "outgoing_counter": 1_000_000 + n,
        "node_count": 12,
        "channel": network.channel or 20,
        "pan_id": network.pan_id or 0x1A2B,
        "grade": Grade.SOUND,
    }
    grade = given.get("grade", Grade.SOUND)
    judged = grade not in (Grade.LANDED, Grade.HELD)
    defaults["currency"] = Currency.FRESH if judged else Currency.UNJUDGED
    return Snapshot.objects.create(mesh=network, **{**defaults, **given})


def arrival(copy: Snapshot, **given: Any) -> Arrival:
    defaults = {
        "at": copy.received_at,
        "how": How.PUSH,
        "by": "controller",
        "body_mark": bytes(copy.body_mark),
    }
    return Arrival.objects.create(snapshot=copy, **{**defaults, **given})


def finding(network: Mesh, copy: Snapshot | None = None, **given: Any) -> Finding:
    defaults = {
        "code": f"counter_fell_{next(_serial)}",
        "severity": "doubt",
        "message": "The counter fell.",
        "found_at": NOW,
    }
    return Finding.objects.create(mesh=network, snapshot=copy, **{**defaults, **given})


def tray_item(network: Mesh | None = None, **given: Any) -> TrayItem:
    defaults = {
        "reason": TrayReason.UNREADABLE,
        "problems": [{"path": "channel", "value": "27", "expected": "a channel from 11 to 26"}],
        "received_at": NOW,
        "how": How.UPLOAD,
        "by": "Noor",
        "size_octets": 40,
        "body_mark": _digest(f"tray {next(_serial)}"),
    }
    return TrayItem.objects.create(mesh=network, **{**defaults, **given})


def pin(network: Mesh, copy: Snapshot | None = None, **given: Any) -> Pin:
    """A copy kept by hand, or a legal hold on the whole mesh where no copy is given."""
    kind = PinKind.BY_HAND if copy else PinKind.LEGAL
    defaults = {"kind": kind, "reason": "asked for", "by": "Orla", "at": NOW}
    return Pin.objects.create(mesh=network, snapshot=copy, **{**defaults, **given})


def evidence(network: Mesh, value: int, **given: Any) -> CounterEvidence:
    defaults = {
        "key_mark": network.key_mark,
        "key_sequence": network.key_sequence,
        "head_address": network.head_address,
        "at": NOW,
        "kind": EvidenceKind.SNAPSHOT,
    }
    return CounterEvidence.objects.create(mesh=network, value=value, **{**defaults, **given})


def drill(network: Mesh, **given: Any) -> Drill:
    defaults = {"kind": DrillKind.BENCH, "result": DrillResult.PASSED, "done_at": NOW - timedelta(days=60)}
    return Drill.objects.create(mesh=network, **{**defaults, **given})


def rehearsal(network: Mesh, **given: Any) -> Rehearsal:
    """A drill on paper that has just begun."""
    row = Rehearsal.objects.create(
        mesh=network, **{"kind": DrillKind.PAPER, "begun_at": NOW, "by": "Noor", **given}
    )
    RehearsalStep.objects.create(rehearsal=row, step="fetch", began_at=row.begun_at)
    return row


def drill_draw(*meshes: Mesh, **given: Any) -> DrillDraw:
    """A month's lots in which these meshes were drawn."""
    defaults = {
        "month": NOW.date().replace(day=1),
        "seed": "a seed of tests",
        "lots": [[mesh.code, 0, 0, 1000] for mesh in meshes],
        "count": len(meshes),
        "drawn_at": NOW - timedelta(days=20),
        "by": "schedule",
    }
    row = DrillDraw.objects.create(**{**defaults, **given})
    for place, network in enumerate(meshes, 1):
        DrawnMesh.objects.create(draw=row, mesh=network, place=place)
    return row


def round_(**given: Any) -> Round:
    """A round that is done and found nothing amiss."""
    started_at = given.get("started_at", NOW - timedelta(minutes=30))
    defaults = {
        "started_at": started_at,
        "finished_at": started_at + timedelta(minutes=1),
        "last_sign_at": started_at + timedelta(minutes=1),
        "state": RoundState.DONE,
        "total": 1,
        "done": 1,
    }
    return Round.objects.create(**{**defaults, **given})


def wifi_heard(network: Mesh, **given: Any) -> WifiHeard:
    """A network that a survey of the mesh heard: of the day before NOW unless a survey is given."""
    if "survey" not in given:
        day = (NOW - timedelta(days=1)).date()
        given["survey"], _ = ChannelSurvey.objects.get_or_create(mesh=network, done_on=day)
    return WifiHeard.objects.create(**{"channel": 6, "level_dbm": -60, "busy_percent": 40, **given})


def journal_line(**given: Any) -> JournalEntry:
    return JournalEntry.objects.create(**{"at": NOW, "who": "Orla", "what": "round done", **given})


def data_key(owner: Client | None = None, **given: Any) -> DataKey:
    defaults = {"ring_key": "ring-0", "wrapped": bytes(40), "made_at": NOW}
    return DataKey.objects.create(client=owner, **{**defaults, **given})


def sealed_body(copy: Snapshot, **given: Any) -> SealedBody:
    """Octets that open with no key: for tests of rows, never of sealing."""
    if "data_key" not in given:
        given["data_key"] = DataKey.objects.filter(client=copy.mesh.site.client).first() or data_key(
            copy.mesh.site.client
        )
    return SealedBody.objects.create(snapshot=copy, **{"sealed": bytes(64), **given})


def push_token(network: Mesh, **given: Any) -> PushToken:
    defaults = {"digest": _digest(f"token {next(_serial)}"), "label": "controller", "made_at": NOW}
    return PushToken.objects.create(mesh=network, **{**defaults, **given})


def sheet(home: Site, network: Mesh | None = None, **given: Any) -> Sheet:
    """An issued sheet with a file that fits its digest: hand-over, or recovery where a mesh is given."""
    kind = SheetKind.RECOVERY if network else SheetKind.HANDOVER
    body = given.pop("body", b"%PDF-1.7 a sheet of paper")
    defaults = {
        "number": sheet_number(kind.value[0].upper(), next(_serial)),
        "kind": kind,
        "about": network.code if network else home.code,
        "issued_at": NOW,
        "language": home.reading_language,
        "paper": home.paper_size,
        "fingerprint": hashlib.sha256(b"facts").hexdigest(),
        "digest": hashlib.sha256(b"all of it").hexdigest(),
        "sha256": hashlib.sha256(body).hexdigest(),
        "pages": 2,
    }
    row = Sheet(site=home, mesh=network, **{**defaults, **given})
    row.file.save(f"{row.number}.pdf", ContentFile(body), save=False)
    row.save()
    return row


def replacement(network: Mesh, **given: Any) -> Replacement:
    """One that was asked for, of the radio in service by a spare."""
    head = network.periods.filter(until=None).first()
    defaults = {
        "why": Why.FAILED,
        "asked_because": "it drops devices",
        "asked_at": NOW,
        "asked_by": "Orla",
        "moved_at": NOW,
        "old_radio": head.radio if head else radio(state=RadioState.ON_AIR),
    }
    if "new_radio" not in given:
        given["new_radio"] = spare()
    return Replacement.objects.create(mesh=network, **{**defaults, **given})


def silence(swap: Replacement, jpeg: bytes = b"\xff\xd8 a photo", **given: Any) -> SilenceProof:
    """That its old radio was silenced, with a photo that lies sealed."""
    defaults = {
        "radio": swap.old_radio,
        "how": Silencing.UNPLUGGED,
        "at": NOW,
        "by": "Noor",
        "photo_sha256": hashlib.sha256(jpeg).hexdigest(),
    }
    proof = SilenceProof.objects.create(replacement=swap, **{**defaults, **given})
    seal_photo(proof, jpeg, NOW)
    return proof


def sheet_link(paper: Sheet, **given: Any) -> SheetLink:
    """A link that nobody has the token of, open for fourteen days from NOW."""
    defaults = {
        "digest": _digest(f"link {next(_serial)}"),
        "for_whom": "Somebody at home",
        "made_at": NOW,
        "made_by": "Orla",
        "expires_at": NOW + timedelta(days=14),
    }
    return SheetLink.objects.create(sheet=paper, **{**defaults, **given})


def sheet_mail(paper: Sheet, **given: Any) -> SheetMail:
    """One that waits to be sent."""
    defaults = {"to_name": "Somebody", "address": "somebody@example.org", "made_by": "Orla"}
    return SheetMail.objects.create(sheet=paper, **{**defaults, "made_at": NOW, "due_at": NOW, **given})


def signature(paper: Sheet, **given: Any) -> Signature:
    """A typed name, given through a link."""
    defaults = {
        "name": "Somebody at home",
        "role": "client",
        "method": "typed",
        "signed_at": NOW,
        "zone": "Europe/Oslo",
        "sheet_digest": paper.digest,
        "sheet_sha256": paper.sha256,
    }
    if "account" not in given and "link" not in given:
        given["link"] = sheet_link(paper)
    return Signature.objects.create(sheet=paper, **{**defaults, **given})


def remaking(*papers: Sheet, **given: Any) -> Remaking:
    """Sheets that are to be made anew; nobody has begun."""
    defaults = {"started_at": NOW, "asked_by": "Orla", "total": len(papers)}
    row = Remaking.objects.create(**{**defaults, **given})
    SheetToMake.objects.bulk_create(SheetToMake(remaking=row, sheet=paper) for paper in papers)
    return row


def reader(**given: Any) -> Person:
    """Somebody who is told everything, in English and on the clock of UTC, unless said otherwise."""
    wanted = {
        name: given.pop(name) for name in ("morning_list", "urgent", "language", "time_zone") if name in given
    }
    name = f"reader{next(_serial)}"
    somebody = person(
        **{"username": name, "email": f"{name}@firm.example", "role": PersonRole.OWNER, **given}
    )
    Wishes.objects.create(person=somebody, **{"morning_list": True, "urgent": True, **wanted})
    return somebody


def message(**given: Any) -> Message:
    """One that waits to be sent."""
    n = next(_serial)
    defaults = {
        "key": f"list {n}",
        "kind": MessageKind.LIST,
        "address": f"reader{n}@firm.example",
        "language": "en",
        "subject": "Sparebook: 2 homes could not be brought back today.",
        "body": "2 homes could not be brought back today.\n",
        "facts": {"day": NOW.date().isoformat(), "meshes": [], "later": None},
        "made_at": NOW,
        "due_at": NOW,
    }
    return Message.objects.create(**{**defaults, **given})


def driver(username: str, **given: Any) -> Person:
    """A technician who can be planned: at work from Monday to Friday, 8 to 16 in Oslo, not far from the homes here."""
    base = {"base_latitude": "68.10000", "base_longitude": "14.00000", "time_zone": "Europe/Oslo"}
    somebody = person(username=username, **{**base, **given})
    for weekday in range(5):
        somebody.working_times.create(weekday=weekday, begins=time(8), ends=time(16))
    return somebody


def visit(home: Site | None = None, *windows: tuple[datetime, datetime], **given: Any) -> Visit:
    """Half an hour or so of work in somebody's own words, at any usual hour unless windows are given."""
    defaults = {"minutes_low": 20, "minutes_likely": 30, "minutes_high": 60, "minutes_by_hand": True}
    row = Visit.objects.create(
        site=home or site(), **{**defaults, "asked_by": "Orla", "asked_at": NOW, **given}
    )
    VisitTask.objects.create(visit=row, kind=VisitWork.OTHER, words="look at the hall lamp")
    for begin, end in windows:
        VisitWindow.objects.create(visit=row, begins_at=begin, ends_at=end)
    return row


def visit_plan(**given: Any) -> VisitPlan:
    """A plan that somebody asked for; nobody has begun on it."""
    day = NOW.date() + timedelta(days=4)
    defaults = {"first_day": day, "last_day": day, "asked_by": "Orla", "asked_at": NOW, "sign_at": NOW}
    return VisitPlan.objects.create(**{**defaults, **given})
