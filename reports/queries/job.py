"""Rows to the facts of a job sheet: one mesh, and the radio that is to take it over."""

from collections import Counter
from dataclasses import fields, replace
from datetime import datetime
from decimal import Decimal

from fleet.mesh.counters import WayBack as Back
from fleet.models import Connection, Mesh, Node, Radio, RadioState, Replacement, Silencing
from fleet.models import Why as Reason
from fleet.planning.compatibility import Compatibility, PairRecord
from fleet.planning.estimating import NO_MINUTES, ThreePoints, rejoin_minutes, restore_minutes, weigh
from fleet.planning.phrases.swap import Swap
from fleet.planning.replacing.preflight import Finding, preflight
from fleet.planning.sentences import Sentence
from fleet.queries.counters import CounterPicture, counter_picture
from fleet.queries.facts import class_counts, position_of, radio_facts
from fleet.queries.readiness import Judged, judged
from fleet.queries.replacing.preflight import SwapRows, fit_of, preflight_facts, supposed
from fleet.queries.restore_page import way_back_of
from fleet.queries.spares import SpareShelf, Standby
from reports.facts import fit as paper
from reports.facts.errors import FactsError
from reports.facts.head import Issue
from reports.facts.job import Bring, Estimate, JobFacts, Minutes, Taken, Taker, Way, WayBack
from reports.facts.terms import CONNECTIONS
from reports.queries import home
from reports.queries.recovery import recovery_facts
from reports.queries.spare import taking_of

NEVER = (RadioState.ON_AIR, RadioState.MISSING, RadioState.SCRAPPED)


def job_facts(mesh: Mesh, radio: Radio, issue: Issue, shelf: SpareShelf, now: datetime) -> JobFacts:
    """Everything on the job sheet of one replacement. Raises FactsError where this radio can never take over."""
    radio = (
        Radio.objects.select_related("model", "firmware", "place__site")
        .prefetch_related("model__limits")
        .get(pk=radio.pk)
    )
    insist_on(radio, mesh)
    case = judged(mesh, shelf, now)
    base = recovery_facts(mesh, issue, shelf, now)
    standby = Standby(radio, radio_facts(radio), position_of(radio.place))
    picture = counter_picture(mesh, now)
    under_way = _open_swap(mesh)
    way_back = _way_back_after(under_way, _way_back(case.radio, picture, now))
    by_it = under_way is not None and under_way.new_radio_id == radio.pk
    swap = under_way if under_way and by_it else supposed(mesh, case.radio, radio)
    fit = fit_of(swap, case.nodes, shelf.records)
    record = shelf.record_of(swap.old_radio, standby) if swap.old_radio else PairRecord()
    rows = SwapRows(swap, case.nodes, case.newest, picture, fit)
    way = shelf.way(standby, mesh)
    said = {each.name: getattr(base, each.name) for each in fields(base)}
    return JobFacts(
        **{
            **said,
            "taking": taking_of(_restore(case, way, shelf), way),
            "checks": (),
            "spare": None,
            "not_to_take": (),
            "back_out": None,
        },
        old_code=case.radio.code if case.radio else None,
        taker=_taker(mesh, radio),
        fit=_fit(fit, record, case.nodes) if fit else None,
        way_back=way_back,
        preflight=tuple(_lasting(each) for each in preflight(preflight_facts(rows, now))),
        bring=_bring(radio, case),
        estimate=_estimate(case, way, shelf),
    )


def _lasting(found: Finding) -> Finding:
    """Without the number of this second: paper shows it elsewhere, with the day for which it holds."""
    if isinstance(found.why, Sentence) and found.why.phrase is Swap.NUMBER:
        return replace(found, why=Swap.NUMBER_LATER.of())
    return found


def insist_on(radio: Radio, mesh: Mesh) -> None:
    """FactsError where this radio can never take over this mesh, whatever its build."""
    if radio.state in NEVER:
        state = radio.get_state_display().lower()
        raise FactsError(f"radio: {radio.code} is {state}; name one that lies ready for {mesh.code}.")
    lies_in = radio.place.site if radio.place else None
    if lies_in is not None and lies_in.pk != mesh.site_id:
        raise FactsError(
            f"radio: {radio.code} lies in {lies_in.code} and stays there; name one of a shelf, a van or of "
            f"{mesh.site.code} itself."
        )


def _open_swap(mesh: Mesh) -> Replacement | None:
    """The replacement of this mesh that is under way: there is at most one."""
    near = (
        "mesh__site",
        "old_radio__model",
        "old_radio__firmware",
        "new_radio__model",
        "new_radio__firmware",
    )
    return mesh.replacements.under_way().select_related(*near, "technician", "second").first()


def _fit(fit: Compatibility, record: PairRecord, nodes: list[Node]) -> paper.Fit:
    named = {node.extended_address: _in_room(node) for node in nodes}
    rejoin = tuple(named.get(address, address) for address in fit.devices)
    return paper.Fit(
        verdict=fit.verdict,
        rules=tuple(paper.RuleFound(each.rule, each.verdict, each.why) for each in fit.reasons),
        rejoin=rejoin,
        uncounted=max(0, fit.rejoin_count - len(rejoin)),
        record=pair_record(record),
    )


def pair_record(record: PairRecord) -> paper.PairRecord:
    """The record of a pair with its lower bound in per cent, one decimal, rounded down."""
    lower = Decimal(int(record.lower_bound * 1000)) / 10
    return paper.PairRecord(record.trials, record.passes, lower)


def _in_room(node: Node) -> str:
    return f"{home.node_name(node)} ({node.room})" if node.room else home.node_name(node)


def _way_back(old: Radio | None, picture: CounterPicture | None, now: datetime) -> WayBack:
    """Two hours after the number was written to the new radio (trade rule C3)."""
    judged_back = way_back_of(old, picture, now) if old and picture else None
    if judged_back is None:
        return WayBack(Way.UNKNOWN)
    out = judged_back.out
    if out.way is Back.DEAF:
        if judged_back.can_be_written is None:
            return WayBack(Way.UNKNOWN)
        deaf = None if out.days_deaf is None else Decimal(str(round(out.days_deaf, 1)))
        return WayBack(Way.DEAF, deaf)
    return WayBack(Way.READY if out.way is Back.READY else Way.WRITE, Decimal(0))


def _way_back_after(swap: Replacement | None, judged_back: WayBack) -> WayBack:
    """What the open replacement knows of the old radio comes before what its counter would allow."""
    if swap is None:
        return judged_back
    silenced = [proof.how for proof in swap.silences.all() if proof.radio_id == swap.old_radio_id]
    if swap.why == Reason.THEFT or Silencing.GONE in silenced[-1:]:
        return WayBack(Way.OUT_OF_REACH)
    if Silencing.DEAD in silenced[-1:]:
        return WayBack(Way.NO_POWER)
    return replace(judged_back, failed=swap.why == Reason.FAILED)


def _taker(mesh: Mesh, radio: Radio) -> Taker:
    where = ": ".join(part for part in (radio.place.name if radio.place else "", radio.spot) if part)
    said = home.radio_facts(mesh, radio, 0)
    connection = CONNECTIONS[radio.model.connection]
    bare = replace(said, connection=connection, place=None, feed=None, breaker=None, power_dbm=None)
    return Taker(radio.code, bare, where or None)


def _bring(radio: Radio, case: Judged) -> tuple[Taken, ...]:
    network = radio.model.connection == Connection.NETWORK
    cells = Counter(node.battery for node in case.nodes if node.battery)
    batteries = ", ".join(f"{count} × ({kind})" for kind, count in sorted(cells.items()))
    sleepers = any(node.sleeps or node.power == "battery" for node in case.nodes)
    spot = case.radio.spot if case.radio else ""
    return (
        Taken(Bring.RADIO, radio.code),
        Taken(Bring.COPY),
        Taken(Bring.NETWORK_CABLE if network else Bring.SERIAL_CABLE),
        Taken(Bring.LADDER, spot),
        Taken(Bring.LICENCE),
        *([Taken(Bring.WAKE_LIST)] if sleepers else []),
        *([Taken(Bring.BATTERIES, batteries)] if batteries else []),
        Taken(Bring.BAG),
        Taken(Bring.PHONE),
    )


def _restore(case: Judged, way: ThreePoints | None, shelf: SpareShelf) -> ThreePoints | None:
    return restore_minutes(len(case.nodes), way, shelf.recorded.work) if way is not None else None


def _estimate(case: Judged, way: ThreePoints | None, shelf: SpareShelf) -> Estimate:
    """Both ways with the travel in it; where the way is not known, restoring is not estimated."""
    rejoin = rejoin_minutes(class_counts(case.nodes), way or NO_MINUTES) if case.nodes else None
    restore = _restore(case, way, shelf)
    if restore is None or rejoin is None:
        return Estimate(_minutes(restore), _minutes(rejoin))
    costs = (Decimal(str(round(each.likely, 1))) for each in (restore, rejoin))
    share = weigh(*costs, chance=None).break_even
    percent = None if share is None else Decimal(str(round(share * 100, 1)))
    return Estimate(_minutes(restore), _minutes(rejoin), percent)


def _minutes(points: ThreePoints | None) -> Minutes | None:
    if points is None:
        return None
    return Minutes(round(points.low), round(points.likely), round(points.high))
