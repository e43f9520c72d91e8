"""Rows to what the twelve items before a swap look at, and whether anything speaks against the time agreed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.mesh.channels import channels_in_mask
from fleet.models import Node, Radio, Replacement, Snapshot
from fleet.planning.capabilities import FirmwareState
from fleet.planning.compatibility import Compatibility, PairRecord, judge
from fleet.planning.replacing.preflight import PreflightFacts, Window
from fleet.queries.blank import is_blank
from fleet.queries.counters import CounterPicture, counter_picture
from fleet.queries.facts import needs_of, radio_facts
from fleet.queries.readiness import restorable
from fleet.queries.spares import pair_records

FIRST_HOUR, LAST_HOUR = time(7), time(16)
"""A swap begins in the morning and ends two hours before the evening; common practice, no source."""
FROST_C = 0
BEFORE_REST = 4
"""Friday: nobody is there the next day when something goes wrong."""


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
        swap, nodes, restorable(swap.mesh), counter_picture(swap.mesh, now), _verdict_of(swap, nodes)
    )


def preflight_facts(rows: SwapRows, now: datetime) -> PreflightFacts:
    """What the book knows of this swap as of now."""
    swap, picture, fit, guards = rows.swap, rows.picture, rows.fit, rows.guards
    mesh, spare, person = swap.mesh, swap.new_radio, swap.technician
    return PreflightFacts(
        copy_age_hours=_hours(rows.copy, now),
        start_value=picture.start.value if picture else None,
        verdict=fit.verdict if fit else None,
        verdict_because=fit.because if fit else "",
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
        window=window_of(swap, guards, now),
        needs_licence=swap.needs_licence,
        licence_until=person.mains_licence_until if person else None,
        technician=str(person) if person else "",
        needs_two=swap.needs_two,
        second_named=str(swap.second) if swap.second else "",
        consent_by=swap.consent_by,
        access_known=bool(mesh.site.way_in),
    )


def _verdict_of(swap: Replacement, nodes: list[Node]) -> Compatibility | None:
    """Whether the new radio may take over from the old one; None where either, or a copy, is wanting."""
    needs = needs_of(swap.mesh, nodes)
    if swap.old_radio is None or swap.new_radio is None or needs is None:
        return None
    pair = (swap.old_radio.firmware_id, swap.new_radio.firmware_id)
    record = pair_records().get(pair, PairRecord())
    return judge(radio_facts(swap.old_radio), radio_facts(swap.new_radio), needs, record=record)


def window_of(swap: Replacement, guards: Iterable[Node], now: datetime) -> Window | None:
    """The time agreed, on the home's clock, with what speaks against it."""
    if swap.begins_at is None or swap.ends_at is None:
        return None
    zone = ZoneInfo(swap.mesh.site.time_zone)
    begins, ends = swap.begins_at.astimezone(zone), swap.ends_at.astimezone(zone)
    passed = (f"it has passed: it ended {ends:%Y-%m-%d} at {ends:%H:%M}",) if ends <= now else ()
    return Window(begins, ends, (*passed, *_against(swap, begins, ends, guards)))


def against_now(swap: Replacement, now: datetime) -> tuple[str, ...]:
    """What speaks against working at this moment, for as long as was agreed; a forecast counts on its day only."""
    zone = ZoneInfo(swap.mesh.site.time_zone)
    length = swap.ends_at - swap.begins_at if swap.begins_at and swap.ends_at else timedelta(0)
    begins = now.astimezone(zone)
    guards = list(swap.mesh.nodes.filter(gone_since=None).exclude(safety_kind=""))
    found = list(_against(swap, begins, begins + length, guards))
    if swap.begins_at is not None and swap.begins_at.astimezone(zone).date() != begins.date():
        found.insert(0, f"{swap.begins_at.astimezone(zone):%Y-%m-%d} was agreed")
    return tuple(found)


def _against(swap: Replacement, begins: datetime, ends: datetime, guards: Iterable[Node]) -> Iterable[str]:
    site = swap.mesh.site
    if begins.time() < FIRST_HOUR or ends.time() > LAST_HOUR or begins.date() != ends.date():
        yield f"it is not between {FIRST_HOUR:%H:%M} and {LAST_HOUR:%H:%M} of one day at the home"
    if begins.weekday() >= BEFORE_REST:
        yield "it is a Friday, a Saturday or a Sunday"
    heats = site.frost_limit_c is not None or any(node.safety_kind == "heat" for node in guards)
    if heats and swap.frost_forecast_c is None:
        yield "the house is heated by this mesh, and no forecast was entered"
    elif heats and swap.frost_forecast_c < (FROST_C if site.frost_limit_c is None else site.frost_limit_c):
        yield f"frost: {swap.frost_forecast_c} °C is forecast"
    if site.vulnerable_person and not swap.needs_two:
        yield "somebody in the house must not be left alone with it: two people are needed"


def _hours(copy: Snapshot | None, now: datetime) -> float | None:
    return None if copy is None else (now - copy.taken_at).total_seconds() / 3600


def _allows(radio: Radio | None, channel: int | None) -> bool | None:
    if radio is None or channel is None or radio.model.channel_mask is None:
        return None
    masks = (radio.model.channel_mask, radio.model.reduced_channel_mask)
    return any(channel in channels_in_mask(mask) for mask in masks if mask is not None)
