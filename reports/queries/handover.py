"""Rows to the facts of a hand-over sheet."""

from collections import defaultdict
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo

from fleet.mesh.codes import with_check
from fleet.models import JUDGED_GRADES, Grade, Mesh, Node, Radio
from fleet.queries.readiness import head_in_service
from reports.facts.care import Agreement, Batteries, Entry, Signing, Warranty
from reports.facts.fixed import Text, english, fixed
from reports.facts.handover import Device, HandoverFacts, Room, WithoutRadio
from reports.facts.head import Issue
from reports.facts.snapshots import CalendarDay, DayMark, SnapshotCare
from reports.facts.terms import POWER, SAFETY
from reports.queries import home
from sites.models import Site

CALENDAR_DAYS = 28
USUAL_INTERVALS = (1, 6, 12, 24, 48, 168, 720)
DATA_HELD = (
    fixed("names, addresses and phone numbers of the people to call"),
    fixed("device names, rooms and when each was last heard"),
    fixed("dated snapshots of the network, sealed under a key of your own"),
)
DISPOSAL = fixed(
    "Take used batteries to a collection point. Never put an old radio in the bin: it may still hold your key."
)


def handover_facts(site: Site, issue: Issue, now: datetime) -> HandoverFacts:
    """Everything on the hand-over sheet of one home."""
    meshes = list(site.meshes.filter(in_care=True).order_by("code"))
    heads = {mesh.pk: head_in_service(mesh) for mesh in meshes}
    radios = {pk: head.radio if head else None for pk, head in heads.items()}
    nodes = {mesh.pk: list(mesh.nodes.filter(gone_since=None)) for mesh in meshes}
    everything = [node for mesh in meshes for node in nodes[mesh.pk]]
    codes = {mesh.pk: with_check(mesh.code) for mesh in meshes}
    return HandoverFacts(
        issue=issue,
        firm=home.firm_facts(),
        home=home.home_facts(site),
        rooms=_rooms(everything, codes if len(meshes) > 1 else {}),
        radios=tuple(home.radio_facts(mesh, radios[mesh.pk], len(nodes[mesh.pk])) for mesh in meshes),
        without_radio=_without_radio(everything),
        safety=home.safety_facts(everything),
        meshes=tuple(
            home.mesh_facts(mesh, radios[mesh.pk], nodes[mesh.pk], home.local_day(now, site))
            for mesh in meshes
        ),
        snapshots=tuple(_snapshot_care(mesh, site, now) for mesh in meshes),
        batteries=_batteries(everything),
        agreement=_agreement(site, now),
        contacts=tuple(home.contact_facts(contact) for contact in site.contacts.all()) or None,
        warranties=_warranties([radio for radio in radios.values() if radio]),
        data_held=DATA_HELD,
        entry=(Entry(site.way_in),) if site.way_in else None,
        battery_disposal=DISPOSAL,
        signing=Signing(),
    )


def _rooms(nodes: list[Node], codes: dict[int, str]) -> tuple[Room, ...]:
    rooms: dict[str, list[Device]] = defaultdict(list)
    for node in sorted(nodes, key=lambda node: (node.room, home.node_name(node), node.extended_address)):
        rooms[node.room].append(
            Device(
                name=home.node_name(node),
                kind=node.kind or SAFETY.get(node.safety_kind),
                power=POWER.get(node.power),
                by_hand=node.by_hand or None,
                mesh_code=codes.get(node.mesh_id),
            )
        )
    # Devices without a room come last, under a heading of their own.
    return tuple(Room(name, tuple(rooms[name])) for name in sorted(rooms, key=lambda name: (not name, name)))


def _without_radio(nodes: list[Node]) -> tuple[WithoutRadio, ...] | None:
    """One line for each way of using things by hand, with the kinds of thing it holds for."""
    ways: dict[str, set[Text]] = defaultdict(set)
    for node in nodes:
        if node.by_hand:
            ways[node.by_hand].add(node.kind or SAFETY.get(node.safety_kind) or home.node_name(node))
    return tuple(WithoutRadio(tuple(sorted(ways[way], key=english)), way) for way in sorted(ways)) or None


def _snapshot_care(mesh: Mesh, site: Site, now: datetime) -> SnapshotCare:
    agreement = site.agreement_on(home.local_day(now, site))
    copies = mesh.snapshots.filter(grade__in=JUDGED_GRADES).order_by("-taken_at")
    newest = list(copies[:15].values_list("taken_at", flat=True))
    proven = mesh.snapshots.filter(grade=Grade.PROVEN).order_by("-taken_at").first()
    return SnapshotCare(
        mesh_code=with_check(mesh.code),
        every_hours=_usual_interval(newest),
        kept_where=fixed("in the firm's book, sealed; never only on the controller"),
        sealed_copy_at=fixed("with the firm"),
        promised_point_hours=agreement.recovery_point_hours if agreement else None,
        promised_time_minutes=agreement.recovery_time_minutes if agreement else None,
        last_sound_at=newest[0] if newest else None,
        last_proven_at=proven.taken_at if proven else None,
        days=_calendar(mesh, site, now),
    )


def _usual_interval(newest_first: list[datetime]) -> int | None:
    """The nearest usual interval, in hours, to the middle one of the newest gaps."""
    gaps = [(later - earlier).total_seconds() / 3600 for later, earlier in pairwise(newest_first)]
    if not gaps:
        return None
    middle = median(gaps)
    return min(USUAL_INTERVALS, key=lambda hours: abs(hours - middle))


def _calendar(mesh: Mesh, site: Site, now: datetime) -> tuple[CalendarDay, ...]:
    zone = ZoneInfo(site.time_zone)
    today = now.astimezone(zone).date()
    first = today - timedelta(days=CALENDAR_DAYS - 1)
    marks: dict[object, DayMark] = {}
    since = datetime.combine(first, datetime.min.time(), zone)
    for taken_at, grade in mesh.snapshots.filter(taken_at__gte=since).values_list("taken_at", "grade"):
        day = taken_at.astimezone(zone).date()
        mark = _mark(grade)
        if _rank(mark) > _rank(marks.get(day, DayMark.NONE)):
            marks[day] = mark
    days = [first + timedelta(days=step) for step in range(CALENDAR_DAYS)]
    return tuple(CalendarDay(day, marks.get(day, DayMark.NONE)) for day in days)


def _mark(grade: str) -> DayMark:
    if grade == Grade.PROVEN:
        return DayMark.PROVEN
    return DayMark.SOUND if grade in JUDGED_GRADES else DayMark.LANDED


def _rank(mark: DayMark) -> int:
    return list(DayMark).index(mark)


def _batteries(nodes: list[Node]) -> tuple[Batteries, ...] | None:
    kinds: dict[str, int] = defaultdict(int)
    for node in nodes:
        if node.battery:
            kinds[node.battery] += 1
    return tuple(Batteries(kind, kinds[kind]) for kind in sorted(kinds)) or None


def _agreement(site: Site, now: datetime) -> Agreement | None:
    agreement = site.agreement_on(home.local_day(now, site))
    if agreement is None:
        return None
    return Agreement(
        starts_on=agreement.starts_on,
        ends_on=agreement.ends_on,
        notice_by=home.notice_by(agreement),
        hours_covered=agreement.hours_covered or None,
        drill_every_days=agreement.drill_interval_days,
    )


def _warranties(radios: list[Radio]) -> tuple[Warranty, ...] | None:
    return tuple(Warranty(_part(radio), home.warranty_end(radio)) for radio in radios) or None


def _part(radio: Radio) -> Text:
    return fixed("{model}, serial {serial}", model=str(radio.model), serial=radio.serial)
