"""Rows to the facts of a recovery sheet: what a technician needs who has never been in the house."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from fleet.models import Currency, Mesh, Node, Radio, Snapshot
from fleet.planning.estimating import ThreePoints, rejoin_minutes
from fleet.queries.counters import counter_picture
from fleet.queries.facts import class_counts
from fleet.queries.incidents import stranded_since
from fleet.queries.readiness import judged
from fleet.queries.spares import SpareShelf
from reports.facts.fixed import Text, fixed
from reports.facts.head import Issue
from reports.facts.recovery import (
    Acceptance,
    BackOut,
    Hours,
    RecoveryFacts,
    Rejoin,
    Sleeper,
    WayIn,
)
from reports.facts.snapshots import LockedOut, SnapshotMark, StartValue
from reports.facts.terms import GRADES
from reports.facts.usual import DO_NOT_BEGIN, usual_checks, usual_steps
from reports.queries import home, spare
from sites.models import Site

# t = base + 0.5 n + 2 n_button (trade rule C15); a device with a way to be woken is taken for one with a button.
WAKE_BASE_MINUTES = 5
LONGEST_LIFE = timedelta(days=365)


def recovery_facts(mesh: Mesh, issue: Issue, shelf: SpareShelf, now: datetime) -> RecoveryFacts:
    """Everything on the recovery sheet of one mesh."""
    site = mesh.site
    case = judged(mesh, shelf, now)
    radio = home.radio_facts(mesh, case.radio, len(case.nodes))
    sleepers = [node for node in case.nodes if node.sleeps or node.power == "battery"]
    stranded = stranded_since(mesh)
    taken = spare.taken(case, shelf)
    return RecoveryFacts(
        issue=issue,
        firm=home.firm_facts(),
        home=home.home_facts(site),
        mesh=home.mesh_facts(mesh, case.radio, case.nodes, home.local_day(now, site)),
        radio=radio,
        way_in=WayIn(
            parking=site.parking or None,
            floor=site.floor or None,
            alarm_route=site.alarm_company or None,
            door_code_from=site.way_in or None,
        ),
        contacts=tuple(home.contact_facts(contact) for contact in site.contacts.all()) or None,
        stranded_since=home.at_home(stranded, site) if stranded else None,
        safety=home.safety_facts(case.nodes),
        do_not_begin=_do_not_begin(site),
        mind=tuple(line for line in site.warnings.splitlines() if line.strip()),
        checks=usual_checks(radio),
        spare=spare.spare_facts(taken, site, now) if taken else None,
        not_to_take=() if taken else spare.not_to_take(case, shelf),
        snapshot=_snapshot(case.newest, site),
        locked_out=_locked_out(mesh, site),
        start_value=_start_value(mesh, now),
        steps=usual_steps(_waking_minutes(case.nodes, sleepers)),
        taking=spare.taking(taken, mesh, shelf) if taken else None,
        back_out=_back_out(case.radio),
        sleepers=tuple(_sleeper(node) for node in _safety_first(sleepers)),
        accept=_accept(case.nodes, sleepers),
        rejoin=_rejoin(case.nodes),
        rejoin_hours=_hours(rejoin_minutes(class_counts(case.nodes))) if case.nodes else None,
        safe_tonight=tuple(_in_room(node) for node in case.nodes if node.safety_kind) or None,
        valid_to=_valid_to(site, now),
    )


def _do_not_begin(site: Site) -> tuple[Text, ...]:
    own: list[Text] = []
    if site.frost_limit_c is not None:
        limit = fixed("Below {degrees} °C outside: this home's own limit", degrees=site.frost_limit_c)
        own.append(limit)
    if site.vulnerable_person:
        own.append(fixed("A vulnerable person lives here: never while they are alone"))
    return (*own, *DO_NOT_BEGIN)


def _snapshot(newest: Snapshot | None, site: Site) -> SnapshotMark | None:
    if newest is None:
        return None
    return SnapshotMark(
        taken_at=newest.taken_at.astimezone(ZoneInfo(site.time_zone)),
        grade=GRADES[newest.grade],
        digest=newest.sha256,
        nodes=newest.node_count,
        key_sequence=newest.key_sequence,
    )


def _locked_out(mesh: Mesh, site: Site) -> tuple[LockedOut, ...]:
    last = mesh.snapshots.filter(currency=Currency.LOCKED_OUT).order_by("-taken_at").first()
    if last is None:
        return ()
    day = home.local_day(last.taken_at, site)
    why = fixed("the network key was changed since; the devices no longer listen to the old one")
    return (LockedOut(fixed("every snapshot taken up to {day}", day=day), why),)


def _start_value(mesh: Mesh, now: datetime) -> StartValue | None:
    """Reckoned for the end of the day of issue at the home, so that it holds all that day."""
    zone = ZoneInfo(mesh.site.time_zone)
    tomorrow = now.astimezone(zone).date() + timedelta(days=1)
    picture = counter_picture(mesh, datetime.combine(tomorrow, datetime.min.time(), zone))
    if picture is None:
        return None
    if picture.upper is None:
        basis = fixed("the rate was never observed; 50 frames a second are taken, doubled")
    else:
        observed = Decimal(f"{picture.upper:.2g}")
        basis = fixed("{rate} frames a second observed (95th percentile), doubled", rate=observed)
    return StartValue(picture.start.value, picture.per_day, basis)


def _back_out(radio: Radio | None) -> BackOut | None:
    """Only a radio whose counter can be set may come back at once; else it stays deaf until its count catches up."""
    if radio is None or radio.firmware is None or radio.firmware.sets_counter is None:
        return None
    if radio.firmware.sets_counter:
        why = fixed(
            "if it still takes power, it takes a number of its own, higher than any written (worked out anew); write "
            "that before it speaks"
        )
        return BackOut(True, why)
    deaf = fixed("no number can be written to the old radio: the mesh would hear it and not listen")
    return BackOut(False, deaf)


def _waking_minutes(nodes: list[Node], sleepers: list[Node]) -> int:
    buttons = sum(bool(node.wake) for node in sleepers)
    return round(WAKE_BASE_MINUTES + 0.5 * len(nodes) + 2 * buttons)


def _safety_first(nodes: list[Node]) -> list[Node]:
    return sorted(nodes, key=lambda node: (not node.safety_kind, node.room, home.node_name(node)))


def _sleeper(node: Node) -> Sleeper:
    silence = node.longest_silence_seconds
    return Sleeper(
        name=home.node_name(node),
        room=node.room or None,
        how=node.wake or None,
        longest_silence_minutes=round(silence / 60) if silence else None,
        safety=bool(node.safety_kind),
    )


def _accept(nodes: list[Node], sleepers: list[Node]) -> Acceptance:
    return Acceptance(
        routers=sum(node.role == "router" for node in nodes),
        sleepers=len(sleepers),
        safety=sum(bool(node.safety_kind) for node in nodes),
    )


def _rejoin(nodes: list[Node]) -> tuple[Rejoin, ...] | None:
    """Routers from the head outwards, then sleepers, locks last."""
    routers = [node for node in nodes if node.role == "router"]
    locks = [node for node in nodes if node.safety_kind == "lock"]
    rest = [node for node in nodes if node not in routers and node not in locks]
    groups = (
        (
            fixed("mains devices and routers, nearest to the head radio first"),
            [node for node in routers if node not in locks],
        ),
        (fixed("battery devices"), rest),
        (fixed("locks"), locks),
    )
    return (
        tuple(Rejoin(name, tuple(_in_room(node) for node in found)) for name, found in groups if found)
        or None
    )


def _in_room(node: Node) -> str:
    return f"{home.node_name(node)} ({node.room})" if node.room else home.node_name(node)


def _hours(minutes: ThreePoints) -> Hours:
    low, likely, high = (
        Decimal(str(round(value / 60, 1))) for value in (minutes.low, minutes.likely, minutes.high)
    )
    return Hours(low, likely, high)


def _valid_to(site: Site, now: datetime) -> date:
    day = home.local_day(now, site)
    agreement = site.agreement_on(day)
    longest = day + LONGEST_LIFE
    return min(longest, agreement.ends_on) if agreement and agreement.ends_on else longest
