"""Invented job sheets, drill records and erasure certificates: one that is full, one that is bare, some nasty."""

from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

from fleet.planning.capabilities import FirmwareState
from fleet.planning.compatibility import Verdict
from fleet.planning.phrases.fit import Fit, Thing
from fleet.planning.phrases.swap import Hour
from fleet.planning.replacing.preflight import PreflightFacts, Window, preflight
from fleet.planning.sentences import Sentence
from reports.facts import fit
from reports.facts.drill import Blank, Claim, DrillFacts, Kind, NextDrill, Rehearsed, SameBuild
from reports.facts.erasure import ErasedCopy, ErasureFacts, Gone, Remaining, Stays, Went
from reports.facts.fit import PairRecord, RuleFound
from reports.facts.head import Firm, Home, Issue
from reports.facts.job import Bring, Estimate, JobFacts, Minutes, Taken, Taker, Way, WayBack
from reports.facts.radio import HeadRadio
from reports.facts.recovery import RecoveryFacts
from reports.facts.snapshots import SnapshotMark
from reports.facts.terms import CONNECTIONS
from tests.reports import samples
from tests.reports.samples import ISSUED, KELP, OSLO

ALDER, BIRCH = "Alder A2 7.4.2", "Birch B1 2.4.1"


def _holds(limit: int, what: Thing, used: int, phrase: Fit = Fit.TABLE_ENOUGH) -> Sentence:
    return phrase.of(build=BIRCH, limit=limit, what=what.of(), used=used)


RULES = (
    ("channel", Verdict.CLEAN, Fit.CHANNEL_FULL.of(build=BIRCH, channel=15)),
    ("address", Verdict.CLEAN, Fit.ADDRESS_ONCE_FREE.of(radio="B1-0103")),
    ("network key", Verdict.CLEAN, Fit.SETTING_CAN.of(build=BIRCH, what=Thing.NETWORK_KEY.of())),
    ("key sequence", Verdict.CLEAN, Fit.SETTING_CAN.of(build=BIRCH, what=Thing.KEY_SEQUENCE.of(number=4))),
    ("counter", Verdict.CLEAN, Fit.SETTING_CAN.of(build=BIRCH, what=Thing.COUNTER.of())),
    ("PAN ID", Verdict.CLEAN, Fit.SETTING_CAN.of(build=BIRCH, what=Thing.PAN_ID.of())),
    ("extended PAN ID", Verdict.CLEAN, Fit.SETTING_CAN.of(build=BIRCH, what=Thing.EXTENDED_PAN_ID.of())),
    ("link keys", Verdict.PARTLY, Fit.LINK_KEYS_LOST.of(build=BIRCH, n=3)),
    ("link key table", Verdict.CLEAN, _holds(128, Thing.LINK_KEYS, 31)),
    ("child table", Verdict.CLEAN, _holds(40, Thing.CHILDREN, 18)),
    ("route table", Verdict.CLEAN, _holds(120, Thing.ROUTES, 31, Fit.TABLE_ENOUGH_AT_MOST)),
    ("binding table", Verdict.CLEAN, _holds(64, Thing.BINDINGS, 9)),
    ("green power", Verdict.CLEAN, Fit.NO_HARVESTING.of()),
    ("stack revision", Verdict.CLEAN, Fit.REVISION_FOLLOWS.of(before=22, after=22)),
    ("security mode", Verdict.CLEAN, Fit.TRUST_CAN.of(build=BIRCH, mode=Thing.CENTRAL.of())),
    ("firmware", Verdict.CLEAN, Fit.FIRMWARE_IS.of(build=BIRCH, policy=Thing.PREFERRED.of())),
    ("driver", Verdict.CONVERTS, Fit.DRIVER_SET.of(family="Q", connection=Thing.SERIAL.of())),
    ("power", Verdict.CLEAN, Fit.POWER_CAN.of(build=BIRCH, dbm=8)),
    (
        "record",
        Verdict.CLEAN,
        Fit.TRIED.of(source=ALDER, target=BIRCH, passes=10, trials=10, share=Decimal("74.1")),
    ),
)
CHECKS = preflight(
    PreflightFacts(
        copy_age_hours=5.2,
        start_value=17_080_656,
        verdict=Verdict.PARTLY,
        verdict_why=Fit.LINK_KEYS_LOST.of(build=BIRCH, n=3),
        blank_proven=False,
        blank_on=date(2027, 3, 24),
        firmware="2.4.1",
        firmware_state=FirmwareState.PREFERRED,
        way_back_judged=True,
        connection_path="/dev/serial/by-id/alder-a2-0101",
        controller="Skerry box",
        driver=Verdict.UNTESTED,
        power_known=True,
        region_allows=True,
        safety_devices=4,
        safety_without_fall_back=(),
        fall_backs_told=False,
        window=Window(
            datetime(2027, 3, 27, 9, 0, tzinfo=OSLO),
            datetime(2027, 3, 27, 11, 0, tzinfo=OSLO),
            (Hour.REST.of(), Hour.FROST.of(degrees=-7)),
        ),
        needs_licence=True,
        licence_until=None,
        technician="",
        needs_two=False,
        second_named="",
        consent_by="",
        access_known=True,
        licensed=("Noor Vantongeren",),
        agreement_in_force=False,
    )
)
TAKER = Taker(
    code="B1-0103",
    radio=HeadRadio(
        mesh_code="KELP-7-A/3",
        model="Birch B1",
        family="Q",
        factory_address="02A4C138F00D0103",
        carried_address="02A4C138F00D0103",
        serial="BIR-0103-0300",
        firmware="2.4.1",
        connection=CONNECTIONS["serial"],
    ),
    where="Shelf in Quay 3: grey box, sealed bag",
)
BROUGHT = (
    Taken(Bring.RADIO, "B1-0103"),
    Taken(Bring.COPY),
    Taken(Bring.SERIAL_CABLE),
    Taken(Bring.LADDER, "hall, shelf above the coat rack, 2.1 m up"),
    Taken(Bring.LICENCE),
    Taken(Bring.WAKE_LIST),
    Taken(Bring.BATTERIES, "9 CR2032, 12 AA alkaline"),
    Taken(Bring.BAG),
    Taken(Bring.PHONE),
)


def job_of(base: RecoveryFacts, **given: object) -> JobFacts:
    """The job sheet on this recovery sheet's facts."""
    said = {each.name: getattr(base, each.name) for each in fields(base)}
    number = replace(base.issue, number=base.issue.number.replace("R-", "J-"))
    return JobFacts(**{**said, "issue": number, "taker": TAKER, **given})


def kelp_job() -> JobFacts:
    """A Birch is to take over the model home's mesh; the old radio takes no number (trade rule C3: 59.3 days)."""
    return job_of(
        samples.kelp_recovery(),
        old_code="A2-0101",
        fit=fit.Fit(
            Verdict.PARTLY,
            tuple(RuleFound(*each) for each in RULES),
            ("Front door lock (Hall)", "Winch lock (Boathouse)", "Bedside button (Bedroom)"),
            0,
            PairRecord(10, 10, Decimal("74.1")),
        ),
        way_back=WayBack(Way.DEAF, Decimal("59.3")),
        preflight=CHECKS,
        bring=BROUGHT,
        estimate=Estimate(Minutes(52, 69, 120), Minutes(240, 372, 610), Decimal("18.5")),
    )


def bare_job() -> JobFacts:
    """A mesh and a radio of which next to nothing is recorded."""
    taker = Taker("R-1", HeadRadio("BENCH-0-A/J"))
    return job_of(samples.bare_recovery(), taker=taker)


def job_with(count: int) -> JobFacts:
    """The same with so many devices, all of which must be joined by hand."""
    names = tuple(f"Ceiling light {at:03d} (Room {at // 9})" for at in range(count))
    full = kelp_job()
    assert full.fit is not None
    base = samples.recovery_of(count) if count else replace(samples.kelp_recovery(), sleepers=(), rejoin=())
    found = replace(full.fit, rejoin=names, uncounted=count // 50)
    return replace(job_of(base), **{**_own(full), "fit": found})


def nasty_job(name: str) -> JobFacts:
    """The model job under a name meant to break the page, and everything else that people type."""
    full = kelp_job()
    assert full.fit is not None
    taker = replace(
        TAKER, code=name[:20], where=name, radio=replace(TAKER.radio, model=name, serial=name[:60])
    )
    rule = RuleFound("address", Verdict.NO, Fit.ADDRESS_FIXED.of(radio=name))
    found = replace(full.fit, rejoin=(name, name), rules=(rule,))
    own = {**_own(full), "taker": taker, "fit": found, "old_code": name[:20]}
    return replace(job_of(samples.nasty_recovery(name)), **own)


def _own(facts: JobFacts) -> dict[str, object]:
    theirs = {each.name for each in fields(RecoveryFacts)}
    return {each.name: getattr(facts, each.name) for each in fields(facts) if each.name not in theirs}


COPY = SnapshotMark(datetime(2027, 3, 24, 3, 0, tzinfo=OSLO), "proven", sha256(b"copy").hexdigest(), 31, 4)


def kelp_drill() -> DrillFacts:
    """A bench write two days ago that passed, on the firmware that the spare has today."""
    return DrillFacts(
        issue=Issue("D-000004-K", 1, ISSUED),
        firm=samples.FIRM,
        home=KELP,
        mesh_code="KELP-7-A/3",
        purpose="whole house and boathouse",
        kind=Kind.BENCH,
        passed=True,
        held_at=datetime(2027, 3, 24, 11, 30, tzinfo=OSLO),
        by="Noor Vantongeren",
        minutes=38,
        copy=COPY,
        rehearsed=Rehearsed(
            "A2-0110", "Alder A2", "A2-26-00502", "Alder A2 7.4.2", "Alder A2 7.4.2", "7.4.2"
        ),
        same_build=SameBuild.SAME,
        numbers_to=17_080_656,
        record=PairRecord(4, 4, Decimal("47.3")),
        claim=Claim("P to P", 22, 22, Decimal("12.7")),
        blank=Blank.PROVEN,
        blank_by="Kwabena Ruud",
        blank_at=datetime(2027, 3, 25, 14, 30, tzinfo=OSLO),
        next_drill=NextDrill(182, date(2027, 9, 22)),
    )


def bare_drill() -> DrillFacts:
    """A paper walk-through of which nothing else was written down."""
    return DrillFacts(
        issue=Issue("D-000005-G", 1, ISSUED),
        firm=Firm("Hollin & Weir House Signals"),
        home=Home("BENCH-0/2", "Hollin & Weir, test flat", "Europe/Oslo"),
        mesh_code="BENCH-0-A/J",
        kind=Kind.PAPER,
        passed=False,
        held_at=ISSUED - timedelta(days=40),
    )


def nasty_drill(name: str) -> DrillFacts:
    """A live swap that failed, with names meant to break the page."""
    rehearsed = Rehearsed(name[:20], name, name[:60], name, name, name[:60])
    return replace(
        kelp_drill(),
        home=replace(KELP, client_name=name),
        firm=replace(samples.FIRM, name=name),
        kind=Kind.LIVE,
        passed=False,
        by=name,
        purpose=name,
        rehearsed=rehearsed,
        same_build=SameBuild.OTHER,
        blank=Blank.NOT_PROVEN,
        claim=Claim(name, 300, 291),
        next_drill=NextDrill(182, date(2027, 3, 1), overdue=True),
    )


def drill_with(trials: int) -> DrillFacts:
    """The same with so many trials of its family."""
    share = Decimal(1) if trials == 0 else Decimal(str(round((1 - 0.05 ** (1 / trials)) * 100, 1)))
    return replace(kelp_drill(), claim=Claim("P to P", trials, trials, share) if trials else None)


def copies(count: int) -> tuple[ErasedCopy, ...]:
    """So many erased copies of two meshes, a day apart."""
    return tuple(
        ErasedCopy(
            f"CEDAR-8-{'AB'[at % 2]}",
            datetime(2026, 3, 26, 3, 0, tzinfo=OSLO) + timedelta(days=at // 2),
            sha256(str(at).encode()).hexdigest(),
        )
        for at in range(count)
    )


def erasure_with(count: int) -> ErasureFacts:
    """A client who left, with so many copies."""
    return ErasureFacts(
        issue=Issue("E-000002-Q", 1, ISSUED),
        firm=samples.FIRM,
        home=Home("CEDAR-8/7", "ليلى حدّاد", "Europe/Oslo"),
        mark="4f1c-9a02",
        erased_at=datetime(2027, 3, 26, 8, 12, tzinfo=OSLO),
        by="Orla Hentsch",
        second="Tomasz Ibe",
        reason="The agreement ended on 4 April 2026; the thirty days are over.",
        gone=(
            Gone(Went.SNAPSHOTS, count),
            Gone(Went.SEALED_DOCUMENTS, count + 2),
            Gone(Went.INSTALL_CODES, 1),
            Gone(Went.MESHES, 2),
            Gone(Went.DEVICE_NAMES, 19),
        ),
        copies=copies(count),
        remains=(
            Remaining(Stays.RING_RENEWED, since=date(2027, 4, 2)),
            Remaining(Stays.GIVEN_OUT, 2),
            Remaining(Stays.SHEETS, 7),
            Remaining(Stays.RECORDS),
        ),
    )


def bare_erasure() -> ErasureFacts:
    """A client for whom nothing was ever sealed."""
    return ErasureFacts(
        issue=Issue("E-000003-M", 1, ISSUED),
        firm=Firm("Hollin & Weir House Signals"),
        home=Home("4f1c9a02", "Somebody", "Europe/Oslo"),
        mark="4f1c-9a02",
        erased_at=ISSUED,
        by="Orla Hentsch",
        second="Tomasz Ibe",
        reason="entered by mistake",
        sealed=False,
        remains=(Remaining(Stays.RECORDS),),
    )


def nasty_erasure(name: str) -> ErasureFacts:
    """One under a name meant to break the page, with an older copy of the database that still opens."""
    full = erasure_with(130)
    return replace(
        full,
        home=replace(full.home, client_name=name),
        firm=replace(full.firm, name=name),
        by=name[:120],
        second=name[:120],
        reason=name,
        gone=(*full.gone, Gone("something_newer", 4)),
        remains=(Remaining(Stays.RING_OPENS), Remaining(Stays.OTHER_TRAYS, 1), Remaining(Stays.RECORDS)),
    )
