"""Invented months of the book and evidence packs: one that is full, one of an empty book, some with nasty names."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from hashlib import sha256

from fleet.planning.phrases.fit import Fit
from fleet.planning.phrases.ready import Act, Against, Age, Ready
from fleet.planning.sentences import Manner, Series, Span, Unit, sentences
from reports.facts import digest as month
from reports.facts import evidence as pack
from reports.facts.digest import DigestFacts, Unrecorded
from reports.facts.evidence import EvidenceFacts, Lack, NotShown
from reports.facts.head import Firm, Issue
from reports.facts.snapshots import CalendarDay, DayMark
from tests.reports.samples import FIRM, ISSUED, KELP, OSLO

FEBRUARY = date(2027, 2, 1)
MIDNIGHT = datetime(2027, 3, 1, tzinfo=OSLO)
DAY = timedelta(days=1)
NO_FIT = Against.NO_FIT_BECAUSE.of(spare="A2-0112", why=Fit.ADDRESS_ONCE_USED.of(radio="A2-0112"))
FULL_STANDING = month.Standing(bare=3, unknown=1, thin=4, by_hand=5, covered=25)


def _figures(at: datetime, standing: month.Standing, amount: str | None) -> month.Figures:
    uncovered = standing.bare + standing.unknown + standing.thin
    return month.Figures(
        at=at,
        standing=standing,
        money=month.Money(Decimal(amount) if amount else None, "EUR", uncovered, 1 if amount else 0),
        ages=month.Ages(42, Decimal("14.5"), Decimal("171.0"), 2),
        proven=17,
        drills=month.Drills(30, 28, Decimal("80.5"), None, 4, 3),
        times=month.Times(28, Decimal("41.0"), Decimal("69.5"), 26, 24),
        swaps=month.Swaps(5, 1, month.Times(4, Decimal("95.0"), Decimal("210.0"), 4, 4)),
        waiting=3,
        tight=2,
        tight_of=39,
    )


def _day(day: date) -> month.DayOfBook:
    if day.day in (13, 14):
        return month.DayOfBook(day, None)
    bare = 5 if 8 <= day.day <= 12 else 3
    thin = 6 if day.day > 20 else 4
    return month.DayOfBook(day, month.Standing(bare, 1, thin, 5, 38 - bare - 1 - thin - 5))


def digest() -> DigestFacts:
    """February 2027 of a firm with 38 homes."""
    return DigestFacts(
        issue=Issue("M-000002-5", 1, ISSUED),
        firm=FIRM,
        month=FEBRUARY,
        zone="Europe/Oslo",
        language="en",
        now=_figures(MIDNIGHT, FULL_STANDING, "4180.50"),
        before=_figures(
            datetime(2027, 2, 1, tzinfo=OSLO),
            month.Standing(bare=4, thin=4, by_hand=5, covered=24),
            "5012.00",
        ),
        rounds=month.Rounds(ran=630, broken=1, with_errors=2, late=1, longest=Decimal("49.0")),
        papers=month.Papers(handovers=38, stale=1, unsigned=6),
        lead_days=42,
        days=tuple(_day(FEBRUARY + DAY * step) for step in range(28)),
        bands=(
            month.AgeBand(24, 30),
            month.AgeBand(48, 6),
            month.AgeBand(168, 3),
            month.AgeBand(720, 2),
            month.AgeBand(None, 1),
            month.AgeBand(None, 2, none=True),
        ),
        troubled=tuple(_troubled()),
        families=(
            _family("P", 400, 2, "400.0", "0.5", "1.6", ready=1, spares=3, stock=(2, 3)),
            _family("Q", 380, 9, "380.0", "2.4", "4.1", ready=1, spares=1, stock=(5, 6), clustered=6),
            _family("R", 12, 0, "12.0", "0.0", "25.0", ready=0, spares=0, stock=(1, 2), few=True),
        ),
        tight=(
            month.Tight("SALT-9-A/7", "Ελένη Βασιλάκη", "children", 46, 50),
            month.Tight("FERN-2-A/X", "Duarte Mendonça-Real", "observed_ceiling", 37, 42),
        ),
        ending=(month.Ending("CEDAR-8/4", "ليلى حدّاد", date(2027, 4, 4), date(2027, 3, 5)),),
        waiting=(
            month.Waiting("unknown_layout", 2, date(2027, 2, 11)),
            month.Waiting("wrong_home", 1, date(2027, 2, 27)),
        ),
        unrecorded=tuple(Unrecorded),
    )


def _family(
    name: str,
    in_service: int,
    failures: int,
    years: str,
    rate: str,
    upper: str,
    *,
    ready: int,
    spares: int,
    stock: tuple[int, int],
    clustered: int = 0,
    few: bool = False,
) -> month.Family:
    cluster = month.Cluster(clustered, date(2026, 11, 2), date(2026, 11, 6)) if clustered else None
    return month.Family(
        name=name,
        in_service=in_service,
        failures=failures,
        years=Decimal(years),
        rate=Decimal(rate),
        upper=Decimal(upper),
        few=few,
        cluster=cluster,
        ready=ready,
        spares=spares,
        stock_95=stock[0],
        stock_99=stock[1],
    )


def _troubled() -> list[month.Troubled]:
    return [
        month.Troubled(
            code="PLUM-4-A/2",
            client="सुनिता अधिकारी",
            state="bare",
            since=date(2027, 2, 19),
            reason=Ready.SPARE_COUNTS_NOT.of(why=Series((NO_FIT,), Manner.SEMICOLONS)),
            act=sentences(Act.ANOTHER_SPARE.of(mesh="PLUM-4-A")),
            cost=Decimal("589.50"),
        ),
        month.Troubled(
            code="GULL-5-A/9",
            client="Mere Tāmoana",
            state="thin",
            since=date(2027, 1, 15),
            reason=Age.COPY.of(age=Span(Decimal(45), Unit.DAY), limit=Span(Decimal(7), Unit.DAY)),
            act=None,
            cost=None,
            stands_so=False,
        ),
    ]


def empty_digest() -> DigestFacts:
    """A month of a book without a home, a radio or a firm."""
    nothing = month.Figures(
        at=MIDNIGHT,
        standing=month.Standing(),
        money=month.Money(Decimal(0), "EUR", 0, 0),
        ages=month.Ages(0, None, None, 0),
        proven=0,
        drills=month.Drills(0, 0, None, None, 0, 0),
        times=month.Times(0, None, None, 0, 0),
        swaps=month.Swaps(0, 0, month.Times(0, None, None, 0, 0)),
        waiting=0,
        tight=0,
        tight_of=0,
    )
    return DigestFacts(
        issue=Issue("M-000001-7", 1, ISSUED),
        firm=Firm(""),
        month=FEBRUARY,
        zone="UTC",
        language="en",
        now=nothing,
        before=replace(nothing, at=datetime(2027, 2, 1, tzinfo=OSLO)),
        rounds=month.Rounds(0, 0, 0, 0, None),
        papers=month.Papers(0, 0, 0),
        lead_days=42,
        days=tuple(month.DayOfBook(FEBRUARY + DAY * step, None) for step in range(28)),
        bands=(
            *(month.AgeBand(hours, 0) for hours in (24, 48, 168, 720, None)),
            month.AgeBand(None, 0, none=True),
        ),
        unrecorded=tuple(Unrecorded),
    )


def crowded_digest(name: str, homes: int = 40) -> DigestFacts:
    """The same month with many homes that are all called so."""
    facts = digest()
    reason, act = Ready.SPARE.of(spare=f"{name} " * 2), Act.MOVE_SPARE.of(spare=name, mesh=name)
    home = replace(facts.troubled[0], client=name, reason=reason, act=act)
    return replace(
        facts,
        firm=replace(FIRM, name=name),
        troubled=(home,) * homes,
        troubled_left_out=960,
        tight=tuple(replace(each, client=name) for each in facts.tight * 10),
        ending=tuple(replace(each, client=name) for each in facts.ending * 20),
    )


FIRST, LAST = date(2026, 3, 26), date(2027, 3, 25)


def _mark(day: date) -> DayMark:
    if date(2026, 8, 3) <= day <= date(2026, 8, 17):
        return DayMark.NONE
    if day == date(2026, 10, 2) or day == date(2027, 3, 24):
        return DayMark.PROVEN
    return DayMark.LANDED if day.day == 29 else DayMark.SOUND


def _state(day: date) -> str | None:
    if day < date(2026, 5, 1):
        return None
    if day <= date(2026, 5, 6):
        return "unknown"
    if date(2026, 8, 10) <= day <= date(2026, 8, 18):
        return "bare"
    if day < date(2026, 10, 2):
        return "thin"
    return "covered_with_handwork" if day < date(2026, 12, 24) else "covered"


def _days() -> list[date]:
    return [FIRST + DAY * step for step in range((LAST - FIRST).days + 1)]


def _months() -> list[pack.MonthOfCopies]:
    found = []
    for first in sorted({day.replace(day=1) for day in _days()}):
        marks = [_mark(day) for day in _days() if day.replace(day=1) == first]
        sound = marks.count(DayMark.SOUND)
        found.append(
            pack.MonthOfCopies(
                month=first,
                days=len(marks),
                days_without=len(marks) - sound - marks.count(DayMark.PROVEN),
                proven=marks.count(DayMark.PROVEN),
                sound=sound,
                not_sound=marks.count(DayMark.LANDED),
                erased_since=sound // 2,
            )
        )
    return found


def _states() -> list[pack.DaysInState]:
    states = [_state(day) for day in _days()]
    order = ("covered", "covered_with_handwork", "thin", "unknown", "bare", None)
    return [pack.DaysInState(state, states.count(state)) for state in order]


def evidence() -> EvidenceFacts:
    """A year of the model home."""
    mesh = pack.MeshEvidence(
        code="KELP-7-A/3",
        purpose="whole house and boathouse",
        safety=True,
        service=(
            pack.InService(
                "Alder A2",
                "A2-26-00417",
                "02A4C138F00D0007",
                "7.4.2",
                datetime(2024, 1, 25, 9, 0, tzinfo=OSLO),
                None,
                None,
            ),
        ),
        months=tuple(_months()),
        gaps=(pack.Gap(date(2026, 8, 3), date(2026, 8, 17), True),),
        days=tuple(CalendarDay(day, _mark(day)) for day in _days()),
        drills=(
            pack.Rehearsed(
                datetime(2026, 10, 2, 11, 30, tzinfo=OSLO), "bench", True, 51, True, "Noor", "6.9", "A2-0110"
            ),
            pack.Rehearsed(
                datetime(2027, 3, 24, 11, 30, tzinfo=OSLO), "bench", False, None, None, None, None, None
            ),
        ),
        swaps=(
            pack.Swapped(
                datetime(2026, 8, 17, 18, 5, tzinfo=OSLO),
                "failed",
                "A2-24-00031",
                "A2-26-00417",
                "closed",
                datetime(2026, 8, 17, 21, 20, tzinfo=OSLO),
                195,
                True,
            ),
            pack.Swapped(
                datetime(2027, 3, 19, 9, 0, tzinfo=OSLO),
                "upgrade",
                "A2-26-00417",
                None,
                "stranded",
                None,
                None,
                None,
            ),
        ),
        given_out=(pack.GivenOut(datetime(2026, 10, 2, 11, 0, tzinfo=OSLO), "drill", "Noor Vantongeren"),),
        builds=(pack.BuildSeen("6.9", date(2026, 10, 2), date(2026, 10, 2)),),
        epochs=(
            pack.KeyEpoch(date(2026, 3, 26), date(2026, 6, 30)),
            pack.KeyEpoch(date(2026, 7, 1), date(2027, 3, 25)),
        ),
        states=tuple(_states()),
        course=tuple(pack.DayState(day, _state(day)) for day in _days()),
    )
    return EvidenceFacts(
        issue=Issue("V-000001-3", 1, ISSUED),
        firm=FIRM,
        home=KELP,
        first=FIRST,
        last=LAST,
        annex=_annex(120),
        promises=(
            pack.Promise(date(2025, 1, 1), date(2026, 12, 31), 30, 168, 240, 365, "Monday to Friday"),
            pack.Promise(date(2027, 1, 1), None, 60, 24, 120, 182, None),
        ),
        meshes=(mesh,),
        papers=(
            pack.Paper(
                "H-000012-0",
                "handover",
                3,
                datetime(2026, 11, 3, 14, 5, tzinfo=OSLO),
                sha256(b"sheet").hexdigest(),
                signed=(pack.Signed("Ingunn Sæther", "client", datetime(2026, 11, 4, 9, 0, tzinfo=OSLO)),),
            ),
            pack.Paper(
                "R-000013-9",
                "recovery",
                2,
                datetime(2027, 1, 8, 3, 5, tzinfo=OSLO),
                sha256(b"another").hexdigest(),
                mesh_code="KELP-7-A/3",
            ),
        ),
        carers=(
            pack.Carer("house collector", 340, date(2026, 3, 26), date(2027, 3, 25)),
            pack.Carer("Noor Vantongeren", 12, date(2026, 10, 2), date(2027, 3, 24)),
        ),
        not_shown=(
            NotShown(Lack.GAPS, "KELP-7-A/3", 27),
            NotShown(Lack.NO_LIVE_DRILL, "KELP-7-A/3"),
            NotShown(Lack.NOT_JUDGED, "KELP-7-A/3", 36),
            NotShown(Lack.FIRMWARE, "KELP-7-A/3"),
            NotShown(Lack.UNSIGNED, count=1),
        ),
    )


def _annex(lines: int) -> pack.Annex:
    whats = ("snapshot taken in", "snapshots erased", "sheet issued", "contact changed")
    entries = tuple(
        pack.Entry(
            number=1000 + at * 3,
            at=datetime(2026, 4, 1, 3, 20, tzinfo=OSLO) + DAY * at,
            who="house collector" if at % 4 == 0 else "Noor Vantongeren",
            what=whats[at % 4],
            subject="KELP-7-A" if at % 4 < 2 else "KELP-7",
            times=24 if at % 4 == 0 else 1,
        )
        for at in range(lines)
    )
    end = pack.ChainEnd(10_412, sha256(b"chain").hexdigest())
    return pack.Annex(sum(entry.times for entry in entries), sha256(b"lines").hexdigest(), entries, end)


def bare_evidence() -> EvidenceFacts:
    """A home with a mesh of which nothing is recorded."""
    lacks = (Lack.NO_COPY, Lack.NO_DRILL)
    mesh = pack.MeshEvidence(
        code="KELP-7-A/3",
        purpose=None,
        safety=False,
        months=tuple(
            replace(each, days_without=each.days, sound=0, proven=0, not_sound=0) for each in _months()
        ),
        gaps=(pack.Gap(FIRST, LAST, None),),
        states=(pack.DaysInState(None, 365),),
        course=tuple(pack.DayState(day, None) for day in _days()),
    )
    return replace(
        evidence(),
        firm=Firm(""),
        annex=pack.Annex(0, sha256(b"").hexdigest(), ()),
        promises=(),
        meshes=(mesh,),
        papers=(),
        carers=(),
        not_shown=(
            *(NotShown(lack, "KELP-7-A/3") for lack in lacks),
            NotShown(Lack.NOT_JUDGED, "KELP-7-A/3", 365),
            NotShown(Lack.NO_SERVICE, "KELP-7-A/3", 365),
            NotShown(Lack.NO_PROMISE, count=365),
            NotShown(Lack.NO_JOURNAL),
        ),
    )


def meshless_evidence() -> EvidenceFacts:
    """A home that has no mesh in the book."""
    return replace(bare_evidence(), meshes=(), not_shown=(NotShown(Lack.NO_MESH), NotShown(Lack.NO_JOURNAL)))


def crowded_evidence(name: str, meshes: int = 3, lines: int = 60) -> EvidenceFacts:
    """Several meshes, and the same name wherever somebody typed one."""
    facts = evidence()
    mesh = facts.meshes[0]
    named = replace(
        mesh,
        purpose=name,
        drills=tuple(replace(each, by=name) for each in mesh.drills),
        given_out=tuple(replace(each, by=name) for each in mesh.given_out),
        gaps=mesh.gaps * 12,
        gaps_left_out=9,
    )
    annex = _annex(lines)
    return replace(
        facts,
        firm=replace(FIRM, name=name),
        home=replace(KELP, client_name=name, place_lines=(name, "Norway")),
        annex=replace(annex, entries=tuple(replace(each, who=name) for each in annex.entries)),
        promises=tuple(replace(each, hours_covered=name) for each in facts.promises),
        meshes=(named,) * meshes,
        papers=tuple(replace(each, signed=(pack.Signed(name, name, ISSUED),)) for each in facts.papers * 4),
        carers=tuple(replace(each, name=name) for each in facts.carers * 4),
    )
