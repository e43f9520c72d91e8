"""Rows to what the twelve items before a swap look at, and whether anything speaks against the time agreed.

The swap is one that is under way, or one that is only supposed: the card and the job sheet judge by the same.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.mesh.channels import channels_in_mask
from fleet.models import Mesh, Node, Radio, Replacement, Snapshot
from fleet.planning.capabilities import FirmwareState
from fleet.planning.compatibility import Compatibility, PairRecord, judge
from fleet.planning.phrases.swap import Hour
from fleet.planning.replacing.preflight import PreflightFacts, Window
from fleet.planning.sentences import Sentence
from fleet.queries.blank import is_blank
from fleet.queries.counters import CounterPicture, counter_picture
from fleet.queries.facts import needs_of, radio_facts
from fleet.queries.readiness import restorable
from fleet.queries.spares import Pair, pair_records
from sites.models import Licence
from sites.queries import licence_until, licensed_on

FIRST_HOUR, LAST_HOUR = time(7), time(16)
"""A swap begins in the morning and ends two hours before the evening; common practice, no source."""
FROST_C = 0
BEFORE_REST = 4
"""Friday: nobody is there the next day when something goes wrong."""
MOST_NAMED = 5


@dataclass(frozen=True, slots=True)
class SwapRows:
    """What the twelve items and the card look at, read once. fit is None where a radio or a copy is wanting."""

    swap: Replacement
    nodes: list[Node]
    copy: Snapshot | None
    picture: CounterPicture | None
    fit: Compatibility | None

    @property
    def guards(self) -> list[Node]:
        """Devices that guard people or the house."""
        return [node for node in self.nodes if node.safety_kind]


def rows_of(swap: Replacement, now: datetime) -> SwapRows:
    """The rows of one swap as of now."""
    nodes = list(swap.mesh.nodes.filter(gone_since=None))
    return SwapRows(
        swap,
        nodes,
        restorable(swap.mesh),
        counter_picture(swap.mesh, now),
        fit_of(swap, nodes, pair_records()),
    )


def supposed(mesh: Mesh, old: Radio | None, new: Radio) -> Replacement:
    """A replacement that nobody has asked for, not saved: what would have to be settled before it."""
    two = mesh.site.vulnerable_person
    return Replacement(mesh=mesh, old_radio=old, new_radio=new, needs_licence=True, needs_two=two)


def preflight_facts(rows: SwapRows, now: datetime) -> PreflightFacts:
    """What the book knows of this swap as of now."""
    swap, picture, fit, guards = rows.swap, rows.picture, rows.fit, rows.guards
    mesh, spare, person = swap.mesh, swap.new_radio, swap.technician
    window = window_of(swap, guards, now)
    zone = ZoneInfo(mesh.site.time_zone)
    day = (window.begins if window else now.astimezone(zone)).date()
    proven = spare.blank_proven_at if spare else None
    return PreflightFacts(
        copy_age_hours=_hours(rows.copy, now),
        start_value=picture.start.value if picture else None,
        verdict=fit.verdict if fit else None,
        verdict_why=fit.why if fit else None,
        blank_proven=None if spare is None else is_blank(spare),
        firmware=spare.firmware.version if spare and spare.firmware else None,
        firmware_state=FirmwareState(spare.firmware.policy) if spare and spare.firmware else None,
        way_back_judged=swap.way_back_read,
        connection_path=mesh.connection_path,
        controller=mesh.controller,
        driver=next((each.verdict for each in fit.reasons if each.rule == "driver"), None) if fit else None,
        power_known=mesh.power_dbm is not None,
        region_allows=_allows(spare, mesh.channel),
        safety_devices=len(guards),
        safety_without_fall_back=tuple(str(node) for node in guards if not node.by_hand),
        fall_backs_told=swap.fall_backs_told,
        window=window,
        needs_licence=swap.needs_licence,
        licence_until=licence_until(person, Licence.MAINS, day) if person else None,
        technician=str(person) if person else "",
        needs_two=swap.needs_two,
        second_named=str(swap.second) if swap.second else "",
        consent_by=swap.consent_by,
        access_known=bool(mesh.site.way_in),
        blank_on=proven.astimezone(zone).date() if proven else None,
        blank_by=spare.blank_proven_by if spare else "",
        licensed=None if person else _licensed_on(day),
        agreement_in_force=bool(swap.consent_by) or mesh.site.agreement_on(day) is not None,
    )


def _licensed_on(day: date) -> tuple[str, ...]:
    people = licensed_on(Licence.MAINS, day).order_by("first_name", "last_name", "username")
    return tuple(map(str, people[:MOST_NAMED]))


def fit_of(swap: Replacement, nodes: list[Node], records: Mapping[Pair, PairRecord]) -> Compatibility | None:
    """Whether the new radio may take over from the old one; None where either, or a copy, is wanting."""
    needs = needs_of(swap.mesh, nodes)
    if swap.old_radio is None or swap.new_radio is None or needs is None:
        return None
    record = records.get((swap.old_radio.firmware_id, swap.new_radio.firmware_id), PairRecord())
    return judge(radio_facts(swap.old_radio), radio_facts(swap.new_radio), needs, record=record)


def window_of(swap: Replacement, guards: Iterable[Node], now: datetime) -> Window | None:
    """The time agreed, on the home's clock, with what speaks against it."""
    if swap.begins_at is None or swap.ends_at is None:
        return None
    zone = ZoneInfo(swap.mesh.site.time_zone)
    begins, ends = swap.begins_at.astimezone(zone), swap.ends_at.astimezone(zone)
    passed = (Hour.PASSED.of(day=ends.date(), time=f"{ends:%H:%M}"),) if ends <= now else ()
    return Window(begins, ends, (*passed, *_against(swap, begins, ends, guards)))


def against_now(swap: Replacement, now: datetime) -> tuple[str, ...]:
    """What speaks against working at this moment, for as long as was agreed; a forecast counts on its day only."""
    zone = ZoneInfo(swap.mesh.site.time_zone)
    length = swap.ends_at - swap.begins_at if swap.begins_at and swap.ends_at else timedelta(0)
    begins = now.astimezone(zone)
    guards = list(swap.mesh.nodes.filter(gone_since=None).exclude(safety_kind=""))
    found = list(_against(swap, begins, begins + length, guards))
    if swap.begins_at is not None and swap.begins_at.astimezone(zone).date() != begins.date():
        found.insert(0, Hour.OTHER_DAY.of(day=swap.begins_at.astimezone(zone).date()))
    return tuple(each.text for each in found)


def _against(
    swap: Replacement, begins: datetime, ends: datetime, guards: Iterable[Node]
) -> Iterator[Sentence]:
    site = swap.mesh.site
    if begins.time() < FIRST_HOUR or ends.time() > LAST_HOUR or begins.date() != ends.date():
        yield Hour.OUTSIDE.of(first=f"{FIRST_HOUR:%H:%M}", last=f"{LAST_HOUR:%H:%M}")
    if begins.weekday() >= BEFORE_REST:
        yield Hour.REST.of()
    heats = site.frost_limit_c is not None or any(node.safety_kind == "heat" for node in guards)
    if heats and swap.frost_forecast_c is None:
        yield Hour.NO_FORECAST.of()
    elif heats and swap.frost_forecast_c < (FROST_C if site.frost_limit_c is None else site.frost_limit_c):
        yield Hour.FROST.of(degrees=swap.frost_forecast_c)
    if site.vulnerable_person and not swap.needs_two:
        yield Hour.ALONE.of()


def _hours(copy: Snapshot | None, now: datetime) -> float | None:
    return None if copy is None else (now - copy.taken_at).total_seconds() / 3600


def _allows(radio: Radio | None, channel: int | None) -> bool | None:
    if radio is None or channel is None or radio.model.channel_mask is None:
        return None
    masks = (radio.model.channel_mask, radio.model.reduced_channel_mask)
    return any(channel in channels_in_mask(mask) for mask in masks if mask is not None)
