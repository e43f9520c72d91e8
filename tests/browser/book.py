"""A small book with something on every page, and the address of each page."""

from dataclasses import dataclass
from datetime import datetime, time, timedelta

from django.urls import reverse
from django.utils import timezone

from fleet.models import (
    ClientKeepRule,
    Custody,
    Delivery,
    DrillDraw,
    Grade,
    Mesh,
    Message,
    Passage,
    Radio,
    RadioState,
    ReadinessChange,
    Receiver,
    Replacement,
    Resource,
    Round,
    RoundChunk,
    RoundState,
    StormExercise,
    Supposal,
    SupposedChange,
    TrayReason,
    Visit,
    VisitPlan,
)
from fleet.planning.events import Kind
from fleet.planning.readiness import State
from fleet.planning.replacing.states import State as SwapState
from fleet.planning.storm.asking import Asked, Strikes
from fleet.planning.supposing import Supposition
from fleet.planning.visits.request import Rule
from fleet.verbs import deliver, feeds, journal, rank_swaps, receivers, storm, suppose
from fleet.verbs.install_codes import enter
from fleet.verbs.seal import data_key_for, put_away
from fleet.verbs.tell import tell
from fleet.verbs.visits import planning, solving
from fleet.verbs.visits import wanting as visits
from reports.models import Remaking, Sheet
from sites.models import DayOff, Person, Site, WorkingTime
from tests import codes, make
from tests.documents import document, nodes
from tests.fleet import foreign_box


@dataclass(frozen=True, slots=True)
class Book:
    """Name and path of every page that a person reads."""

    paths: dict[str, str]
    mesh: Mesh


def fill() -> Book:
    """Homes in several scripts, in every readiness, with long words and many rows."""
    make.firm()
    now = timezone.now()
    _work(now)
    mesh = _home("KELP-7", "Ingunn Sæther", "nb", State.COVERED)
    _home("CEDAR-8", "ليلى حدّاد", "ar", State.THIN)
    _home("SALT-9", "Ελένη Βασιλάκη", "el", State.BARE)
    _home("MAPLE-3", "森下かなえ", "ja", State.UNKNOWN)
    _home("FERN-2", "Duarte " + "Mendonça-Real-" * 8, "pt", State.COVERED_WITH_HANDWORK)
    make.site(code="PINE-1", client=make.client(name="=HYPERLINK()"))
    problems = [{"path": "$.nodes[13].extendedAddress" * 3, "value": "02A4C138", "expected": "16 hex digits"}]
    make.tray_item(mesh, problems=problems, file_name="x" * 120 + ".json")
    make.tray_item(None, reason=TrayReason.NO_MESH)
    foreign_box.waits(mesh)
    _drills(mesh)
    _rounds(mesh, now)
    _swaps(mesh, now)
    _passage(mesh)
    for days in range(3):
        make.journal_line(
            at=now - timedelta(days=days), subject=mesh.code, details={"sha256": "0123456789abcdef" * 4}
        )
    _tell(now)
    _suppose()
    _look_ahead()
    _plan_visits(now)
    return Book(_paths(mesh), mesh)


def _work(now: datetime) -> None:
    """Somebody with a long name who works in two parts, with a licence in each state, days off and an address."""
    today = now.date()
    name = {"first_name": "Noor", "last_name": "Vantongeren-" * 4, "time_zone": "America/St_Johns"}
    noor = Person.objects.filter(username="noor").first() or make.person(username="noor")
    Person.objects.filter(pk=noor.pk).update(**name, base_latitude="47.56150", base_longitude="-52.71260")
    make.working_week(noor, time(8), time(12))
    make.working_week(noor, time(14), time(18, 30))
    for days, kind in ((400, "mains"), (20, "ladder"), (-5, "gas-and-other-things-of-that-sort-at-home")):
        make.licence(noor, kind=kind, valid_until=today + timedelta(days=days))
    DayOff.objects.create(person=noor, first_day=today, last_day=today, reason="Wedding " * 12)
    feeds.make(noor, "Noor", now)


def _suppose() -> None:
    """What somebody with a long name supposed, and its answer: every spare of the book gone, and more."""
    spares = list(Radio.objects.filter(state=RadioState.SHELVED).values_list("code", flat=True))
    change = Supposition(taken=tuple(spares), drill_days=1, point_hours=1)
    row = suppose.ask(change, "Orla " + "Hentsch-Weir " * 6, make.NOW)
    suppose.go_on(row.pk, lambda: make.NOW)
    for mesh in Mesh.objects.all():
        SupposedChange.objects.create(
            supposal=row,
            mesh=mesh,
            was=State.COVERED_WITH_HANDWORK.value,
            becomes=State.BARE.value,
            rank=0,
            why_was=f"With spare {spares[0]}, 4 devices of {mesh.code} must be joined again by hand. " * 3,
            why_becomes=f"There is no spare for {mesh.code}.",
            hours_before=0.004,
            hours_after=1234.5,
        )


def _passage(mesh: Mesh) -> None:
    """One whose bench ring has passed at somebody's word, with a home to be updated and one that went worse."""
    head = mesh.periods.get(until=None).radio
    bench = make.spare(firmware=head.firmware)
    row = make.passage(bench, because="It mends late locks, as its maker says " * 4)
    now = timezone.now()
    row.rings.update(
        opened_at=now, passed_at=now, passed_by="Orla", word="There is no more to try it on " * 5
    )
    dead = make.spare(
        model=head.model, dead_on_arrival_on=now.date(), bought_on=now.date(), warranty_months=24
    )
    ring = make.passage_ring(row, head, dead, kind="few")
    ring.units.filter(radio=dead).update(
        done_at=now, done_by="Noor", regression="lost_devices", regressed_at=now, what="late " * 39
    )
    make.passage_ring(row, make.spare(firmware=head.firmware), kind="rest", opened_at=None)


def _plan_visits(now: datetime) -> None:
    """Two people's days with everything that a plan can say, a visit that nobody can make, and what is due besides."""
    people = [make.driver("solvei", first_name="Solvei " + "Brandtner-" * 4), make.driver("pekka")]
    homes = list(Site.objects.filter(code__in=("KELP-7", "CEDAR-8", "FERN-2")).order_by("code"))
    for home in homes:
        late = now - timedelta(days=2)
        visit = make.visit(home, due_at=late, value=5, not_before_weekend=home.code == "KELP-7")
        visit.tasks.update(words="look after the lamp of the hall " * 6)
        visits.waive(
            visit, Rule.WEEKEND, "Orla " + "Hentsch-Weir " * 6, "the client insists " * 9, "Orla", now
        )
    two = make.visit(homes[0], people=2, minutes_likely=50)
    visits.pin(two, people[0], None, "Orla", now)
    visits.foretell(homes[0], now.date(), -3, "Orla", now)
    short = now + timedelta(days=3)
    make.visit(homes[1], (short, short + timedelta(minutes=20)), licences=["mains", "ladder"])
    first = now.date() + timedelta(days=1)
    plan = planning.ask(planning.Wish(first, first + timedelta(days=6), people, 1), "Orla", now)
    solving.solve(plan.pk, lambda: now, rounds=20)


def _drills(mesh: Mesh) -> None:
    """Lots that were drawn for every home, a bench drill at the step that writes, and a spare to be wiped."""
    make.drill_draw(*Mesh.objects.all(), seed="0123456789abcdef" * 2)
    bench = {"kind": "bench", "setup": "disconnected", "nothing_radiates": True, "place": make.place()}
    spare = make.spare(state="silenced", blank_proven_at=None)
    row = make.rehearsal(
        mesh,
        **bench,
        radio=spare,
        target_release=spare.firmware,
        spot="On the workbench under the window " * 4,
        own_pair_only=True,
        written_at=make.NOW,
        range_first=17_339_856,
        range_last=17_664_592,
        range_until=make.NOW + timedelta(hours=12),
    )
    row.steps.update(ended_at=make.NOW + timedelta(minutes=9), problem="The cable lay in the other van. " * 6)
    row.steps.create(step="write", began_at=timezone.now() - timedelta(minutes=3))


def _look_ahead() -> None:
    """The order of swaps, and a storm over every home with one person who can go and one who cannot."""
    rank_swaps.go_on(rank_swaps.ask("Orla " + "Hentsch-Weir " * 6, make.NOW).pk, lambda: make.NOW)
    base = {"base_latitude": "68.15000", "base_longitude": "14.20000"}
    goer = make.person(username="goer", first_name="Haushaltsvorsteherin " * 5, **base)
    for weekday in range(7):
        WorkingTime.objects.create(person=goer, weekday=weekday, begins=time(8), ends=time(18))
    make.person(username="stays", first_name="Wolfeschlegelstein" * 4)
    asked = Asked(Strikes.RANDOM, people=("goer", "stays"), runs=20)
    storm.play(storm.ask(asked, "Orla " + "Hentsch-Weir " * 6, make.NOW).pk, lambda: make.NOW)


def _swaps(mesh: Mesh, now: datetime) -> None:
    """One whose devices wake, with everything late, one to be packed, and one without a voice."""
    make.replacement(mesh, state=SwapState.WAKING.value, first_word_at=now - timedelta(days=2))
    others = Mesh.objects.exclude(pk=mesh.pk).order_by("code")
    make.replacement(others[0], state=SwapState.AGREED.value, asked_because="It drops devices " * 8)
    stranded = make.replacement(others[1], state=SwapState.STRANDED.value)
    make.silence(stranded)


def _tell(now: datetime) -> None:
    """Messages in scripts of both directions, one that failed, and a receiver that does not answer."""
    for language in ("ar", "ja", "de"):
        make.reader(language=language)
    tell(now.replace(hour=10))
    failed = "The mail server did not take it: SMTPRecipientsRefused 550"
    Message.objects.filter(language="ja").update(given_up_at=now, last_error=failed, tries=50)
    receivers.add(
        "Office " + "calendar" * 8, "https://calendar.example/" + "x" * 120, [Kind.LANDED], "Orla", now
    )
    for number in range(3):
        journal.record("c", "snapshot taken in", "KELP-7-A", now, snapshot=str(number), grade="sound")
    deliver.gather(now)
    Receiver.objects.update(misses=3, rests_until=now)
    Delivery.objects.update(dead_at=now, last_error="The receiver answered 503.", tries=70)


def _home(code: str, name: str, language: str, state: State) -> Mesh:
    client = make.client(name=name, language=language, phone="+44 1632 960123", email="post@example.org")
    home = make.site(code=code, client=client, warnings="Ladder of 4 m", frost_limit_c=-2)
    make.contact(home)
    make.agreement(home, ends_on=timezone.localdate() + timedelta(days=20))
    mesh = make.mesh(
        site=home,
        readiness=state,
        readiness_reason=f"What {code} lacks, in a sentence of some length that has to fold on a small screen.",
        readiness_act=f"What helps {code}.",
        minutes_low=30,
        minutes_likely=45,
        minutes_high=68,
        safety_relevant=True,
        table_use={"children": 46, "link_keys": 12},
        connection_path="/dev/serial/by-id/a-very-long-name-of-a-radio-without-any-blank-in-it-0001-port0",
    )
    period = make.service(mesh)
    make.limit(period.radio.model, Resource.CHILDREN, 50)
    for days in range(25):
        copy = make.snapshot(
            mesh, taken_at=make.NOW - timedelta(days=days), holds=[f"day {days}", "last sound"]
        )
    whole, earlier = mesh.snapshots.order_by("-taken_at")[:2]
    put_away(whole, document(mesh, outgoing_counter=whole.outgoing_counter), data_key_for(mesh, make.NOW))
    before = document(mesh, earlier.taken_at, nodes=nodes(50, first=0x1001), channel=15)
    put_away(earlier, before, data_key_for(mesh, make.NOW))
    held = make.snapshot(mesh, grade=Grade.HELD)
    make.finding(mesh, held, severity="stop", path="$.identity.headAddress", value="02A4C13800000001")
    make.finding(mesh, severity="doubt")
    make.arrival(copy)
    for room in ("hall", "cellar", ""):
        make.node(mesh, room=room, safety_kind="lock", by_hand="key under the third stone")
    make.node(mesh, gone_since=make.NOW)
    parent = mesh.nodes.filter(gone_since=None).first().extended_address
    wake = "hold the test button " * 8
    coded = make.node(mesh, room="hall", wake=wake, link_key_kind="install_code", parent_address=parent)
    enter(coded, codes.printed(code), "Noor", make.NOW)
    for days in range(10):
        make.evidence(mesh, 1_463_120 - days * 90_000, at=make.NOW - timedelta(days=days))
    make.evidence(mesh, 900, kind="restore", at=make.NOW)
    make.drill(mesh, minutes=44)
    make.push_token(mesh)
    make.spare(place=make.place_at(home))
    make.sheet(home, stale_since=make.NOW, changed=["contacts.phone", "mesh.key_mark", "home.place_lines"])
    _handed(make.sheet(home, mesh, revision=2, replaces=make.sheet(home, mesh), issued_at=timezone.now()))
    _keep(mesh)
    return mesh


def _handed(paper: Sheet) -> None:
    """A sheet that was signed, mailed and handed over by links; its making anew failed once."""
    make.signature(paper, open_defects="the lamp of the hall flickers " * 9, not_tested="smoke alarm")
    long, now = "Haushaltsvorsteherin " * 5, timezone.now()
    make.sheet_link(paper, for_whom=long, may_sign=True, made_at=now, expires_at=now + timedelta(days=9))
    make.sheet_link(paper, opens=3, opened=["2027-03-26T08:00:00+00:00"], revoked_at=make.NOW)
    make.sheet_mail(
        paper, address="x" * 60 + "@example.org", last_error="The mail server cannot be reached: OSError"
    )
    begun = make.remaking(paper, paper.replaces, started_at=timezone.now() - timedelta(minutes=2), total=300)
    begun.sheets.filter(sheet=paper.replaces).update(
        done_at=timezone.now(), error="ValueError", error_id="0badcafe"
    )


def _keep(mesh: Mesh) -> None:
    """A rule of the client's own, copies that are marked to go, and what people hold."""
    ClientKeepRule.objects.create(client=mesh.site.client, rule=make.keep_rule(days=20))
    marked = list(mesh.snapshots.order_by("taken_at")[:3])
    mesh.snapshots.filter(pk__in=[copy.pk for copy in marked]).update(
        custody=Custody.DOOMED, doomed_at=make.NOW, holds=[]
    )
    make.pin(mesh, mesh.snapshots.first(), reason="Before the new firmware, as the insurer asked " * 3)
    make.pin(mesh)


def _rounds(mesh: Mesh, now: datetime) -> None:
    """One that is done and changed something, and one at work on two hosts."""
    error = {"mesh": mesh.code, "error": "SealError", "id": "0badcafe"}
    notice = "No round began for 3 hours, or the clock was set forward: this round erases nothing."
    done = make.round_(started_at=now - timedelta(hours=1), errors=[error], notice=notice)
    ReadinessChange.objects.create(
        mesh=mesh,
        round=done,
        at=now,
        was=State.BARE,
        became=State.COVERED,
        reason="A spare was put there." * 4,
    )
    began = now - timedelta(minutes=2)
    at_work = make.round_(
        started_at=began, last_sign_at=began, finished_at=None, state=RoundState.RUNNING, total=300
    )
    for number in (1, 2):
        RoundChunk.objects.create(
            round=at_work,
            number=number,
            after_mesh=0,
            last_mesh=0,
            size=150,
            done=40 * number,
            token=str(number),
            holder=f"worker@a-host-with-a-long-name-{number}.example.net",
            sign_at=now,
            errors=[error],
        )
    for channel in (1, 6, 11):
        make.wifi_heard(mesh, channel=channel)


def _paths(mesh: Mesh) -> dict[str, str]:
    home = mesh.site
    held = mesh.snapshots.get(grade=Grade.HELD)
    coded = mesh.nodes.get(install_code__isnull=False)
    signed = home.sheets.get(revision=2)
    arguments = {
        "client": [home.client.uid],
        "client-change": [home.client.uid],
        "client-hold": [home.client.uid],
        "client-erase": [home.client.uid],
        "client-keeping": [home.client.uid],
        "site-new": [home.client.uid],
        "site-change": [home.code],
        "contact-new": [home.code],
        "contact-change": [home.code, home.contacts.get().pk],
        "agreement-new": [home.code],
        "agreement-change": [home.code, home.agreements.get().pk],
        "leaving": [home.code, home.agreements.get().pk],
        "hand-back": [home.code],
        "folder": [home.code],
        "mesh-new": [home.code],
        "mesh": [mesh.code],
        "mesh-change": [mesh.code],
        "air": [mesh.code],
        "round": [Round.objects.get(state=RoundState.DONE).pk],
        "calendar": [mesh.code],
        "compare": [mesh.code],
        "counter": [mesh.code],
        "drill-new": [mesh.code],
        "drill": [mesh.rehearsals.get().uid],
        "drill-lots": [DrillDraw.objects.get()],
        "replacement-new": [mesh.code],
        "replacement": [Replacement.objects.get(state=SwapState.WAKING.value).uid],
        "replacement-plan": [Replacement.objects.get(state=SwapState.AGREED.value).uid],
        "radio": [mesh.site.place.radios.get().code],
        "firmware-build": [Passage.objects.get().target_id],
        "firmware-model": [Passage.objects.get().model.code],
        "passage": [Passage.objects.get().uid],
        "restore": [mesh.code],
        "paper-copy": [mesh.code],
        "sealed-page": [mesh.code],
        "job-sheet": [mesh.code],
        "mesh-keeping": [mesh.code],
        "keep-rule": [home.client.keep_choice.rule_id],
        "devices": [mesh.code],
        "device": [mesh.code, coded.extended_address],
        "device-change": [mesh.code, coded.extended_address],
        "snapshot": [held.uid],
        "tray-item": [mesh.tray_items.get(reason=TrayReason.UNKNOWN_LAYOUT).uid],
        "sheets": [home.code],
        "sheet-about": [signed.number],
        "sheet-sign": [signed.number],
        "paper-verify": [signed.number, signed.digest[:16].upper()],
        "message": [Message.objects.filter(language="ar").first().pk],
        "wishes": [Message.objects.filter(language="ar").first().person_id],
        "person": ["noor"],
        "what-if-answer": [Supposal.objects.get().pk],
        "storm-answer": [StormExercise.objects.get().pk],
        "visit": [Visit.objects.filter(waivers__isnull=False).first().uid],
        "visit-change": [Visit.objects.filter(windows__isnull=False).first().uid],
        "plan": [VisitPlan.objects.get().uid],
    }
    plain = (
        "board",
        "clients",
        "drills",
        "replacements",
        "shelf",
        "firmware",
        "failures",
        "client-new",
        "tray",
        "keep-rules",
        "keep-rule-new",
        "marked",
        "journal",
        "messages",
        "months",
        "events",
        "receiver-new",
        "papers",
        "paper-check",
        "hand",
        "leavings",
        "people",
        "travel",
        "what-if",
        "next-swaps",
        "storm",
        "visits",
        "visit-new",
        "plans",
    )
    # Held still: a page that renewed itself would end what a test is at.
    anew = reverse("papers-making", args=[Remaking.objects.first().pk])
    still = {"rounds": f"{reverse('rounds')}?still=1", "papers-making": f"{anew}?still=1"}
    return (
        still
        | {name: reverse(name) for name in plain}
        | {name: reverse(name, args=given) for name, given in arguments.items()}
    )
