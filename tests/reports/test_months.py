"""Months of the book: what the rows give, who may issue one, and that a large book costs no more statements."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from fleet.models import (
    Currency,
    DrillKind,
    DrillResult,
    EndReason,
    Grade,
    How,
    RadioState,
    ReadinessChange,
    ReplacementMove,
    Resource,
    RoundState,
    Why,
)
from fleet.planning.phrases.ready import Act, Age, Gate, Ready
from fleet.planning.readiness import State
from fleet.planning.sentences import as_plain
from fleet.queries.spares import SpareShelf
from fleet.verbs.intake import Origin, receive
from reports.facts.digest import AgeBand, Cluster, DayOfBook, Standing, Unrecorded
from reports.facts.head import Issue
from reports.models import Sheet, SheetKind, Signature
from reports.queries.digest import digest_facts
from reports.queries.months import book_begins, months_to_choose
from reports.queries.subjects import digest_of
from reports.verbs import issuing
from sites.models import Role
from tests import make
from tests.documents import document, key
from tests.reports.reading import squeezed, text_of

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2027, 2, 1), date(2027, 2, 28)
END = datetime(2027, 3, 1, tzinfo=UTC)
START = datetime(2027, 2, 1, tzinfo=UTC)
DAY, HOUR = timedelta(days=1), timedelta(hours=1)
HEAD = Issue("M-000001-7", 1, make.NOW)


@pytest.fixture
def firm():
    return make.firm()


def facts():
    return digest_facts(FIRST, LAST, HEAD, SpareShelf.load())


def change(mesh, at, became, **given):
    return ReadinessChange.objects.create(mesh=mesh, at=at, became=became.value, **given)


def test_homes_stand_as_the_last_change_before_the_end_of_the_month_says(firm):
    covered, lost, unjudged = make.mesh(), make.mesh(), make.mesh()
    change(covered, START - DAY, State.BARE)
    change(covered, START + DAY, State.COVERED)
    change(lost, START - DAY, State.COVERED)
    change(lost, END - HOUR, State.BARE)
    change(lost, END + HOUR, State.COVERED)
    change(unjudged, END, State.COVERED)

    found = facts()

    assert found.now.standing == Standing(bare=1, covered=1, unjudged=1)
    assert found.before.standing == Standing(bare=1, covered=1, unjudged=1)


def test_a_home_stands_as_its_worst_mesh(firm):
    mesh = make.mesh()
    other = make.mesh(site=mesh.site)
    change(mesh, START, State.COVERED)
    change(other, START, State.THIN)
    assert facts().now.standing == Standing(thin=1)


def test_meshes_out_of_care_and_homes_of_erased_clients_do_not_count(firm):
    change(make.mesh(in_care=False), START, State.BARE)
    gone = make.mesh(site=make.site(client=make.client(erased_at=make.NOW)))
    change(gone, START, State.BARE)
    assert facts().now.standing == Standing()


def test_days_are_those_of_the_firms_clock():
    """In Chatham the month ends at 10:15 UTC on its last day; a change at 12:00 UTC is of March."""
    make.firm(time_zone="Pacific/Chatham")
    change(make.mesh(), datetime(2027, 2, 28, 12, 0, tzinfo=UTC), State.COVERED)
    assert facts().now.standing == Standing(unjudged=1)


def test_a_day_on_which_no_round_ran_is_blank(firm):
    mesh = make.mesh()
    change(mesh, START + HOUR, State.COVERED)
    for day in (0, 1, 3):
        make.round_(started_at=START + DAY * day + HOUR)
    make.round_(started_at=START + DAY * 4, state=RoundState.BROKEN)
    days = facts().days
    assert days[0] == DayOfBook(FIRST, Standing(covered=1))
    assert [day.day.day for day in days if day.standing] == [1, 2, 4]


def test_joining_anew_costs_what_the_uncovered_meshes_take(firm):
    """By hand: 120 and 60 minutes at 95 an hour are 190.00 and 95.00; of the third nobody counted the devices."""
    for minutes, state in ((120, State.BARE), (60, State.THIN), (None, State.UNKNOWN), (600, State.COVERED)):
        change(make.mesh(rejoin_minutes=minutes), START, state)
    money = facts().now.money
    assert (money.amount, money.homes, money.not_known) == (Decimal("285.00"), 3, 1)


def test_without_a_firm_no_sum_is_made_up():
    change(make.mesh(rejoin_minutes=120), START, State.BARE)
    assert facts().now.money.amount is None


def test_a_copy_counts_by_its_capture_once_it_has_landed(firm):
    mesh, late, early = make.mesh(), make.mesh(), make.mesh()
    make.snapshot(mesh, taken_at=END - 10 * HOUR)
    make.snapshot(late, taken_at=END - 10 * HOUR, received_at=END + HOUR)
    make.snapshot(early, taken_at=END - 72 * HOUR)
    make.snapshot(early, taken_at=END - 2 * HOUR, grade=Grade.HELD)
    ages = facts().now.ages
    assert (ages.n, ages.without) == (2, 1)
    # By hand: 10 and 72 hours; the middle is 41, and 95 % of the way 10 + 0.95 * 62.
    assert (ages.median, ages.high) == (Decimal("41.0"), Decimal("68.9"))


def test_a_copy_erased_since_counts_while_it_lay_here(firm):
    make.snapshot(make.mesh(), taken_at=END - DAY, gone_at=END + DAY)
    make.snapshot(make.mesh(), taken_at=END - DAY, gone_at=END - HOUR)
    assert facts().now.ages.n == 1


def test_ages_fall_into_bands(firm):
    for hours in (1, 30, 100, 400, 2000):
        make.snapshot(make.mesh(), taken_at=END - hours * HOUR)
    make.mesh()
    assert [band.count for band in facts().bands] == [1, 1, 1, 1, 1, 1]
    assert facts().bands[-1] == AgeBand(None, 1, none=True)


def test_a_home_is_proven_when_every_mesh_passed_within_the_year(firm):
    whole, half, stale, paper = make.mesh(), make.mesh(), make.mesh(), make.mesh()
    make.mesh(site=half.site)
    make.drill(whole, done_at=END - DAY)
    make.drill(half, done_at=END - DAY)
    make.drill(stale, done_at=END - 366 * DAY)
    make.drill(paper, done_at=END - DAY, kind=DrillKind.PAPER)
    assert facts().now.proven == 1


def test_drills_are_counted_with_their_bound(firm):
    """Trade rule C8: 10 of 10 is a lower bound of 74.1 %."""
    mesh = make.mesh()
    for day in range(10):
        make.drill(mesh, done_at=END - DAY * (day + 1))
    make.drill(mesh, done_at=END - DAY, kind=DrillKind.PAPER)
    drills = facts().now.drills
    assert (drills.trials, drills.passes, drills.lower, drills.paper) == (10, 10, Decimal("74.1"), 1)
    assert drills.failing_at_most == Decimal("25.9")  # 1 - 0.05 ** (1 / 10)


def test_one_pass_of_one_proves_five_per_cent_and_no_more(firm):
    make.drill(make.mesh(), done_at=END - DAY)
    assert facts().now.drills.lower == Decimal("5.0")


def test_times_stand_against_what_was_promised_to_that_home(firm):
    quick, slow, free = make.mesh(), make.mesh(), make.mesh()
    make.agreement(quick.site, recovery_time_minutes=60)
    make.agreement(slow.site, recovery_time_minutes=60)
    make.drill(quick, done_at=END - DAY, minutes=40)
    make.drill(slow, done_at=END - DAY, minutes=80)
    make.drill(free, done_at=END - DAY, minutes=60)
    make.drill(free, done_at=END - DAY, minutes=900, result=DrillResult.FAILED)
    times = facts().now.times
    assert (times.n, times.median, times.high) == (3, Decimal("60.0"), Decimal("76.0"))
    assert (times.promised, times.kept) == (2, 1)


def _swap(mesh, asked_at, moves, **given):
    swap = make.replacement(mesh, asked_at=asked_at, **given)
    for at, became in moves:
        ReplacementMove.objects.create(replacement=swap, at=at, became=became, by="Noor")
    return swap


def test_a_swap_takes_from_the_call_or_else_from_the_silencing_to_acceptance(firm):
    """By hand: asked at 0 h as the radio had failed, accepted at 3 h: 180 min. A planned one, silenced at 1 h: 120."""
    begun = END - DAY
    moves = [(begun + HOUR, "silenced"), (begun + 3 * HOUR, "accepted")]
    failed = make.mesh()
    make.agreement(failed.site, recovery_time_minutes=150)
    _swap(failed, begun, moves, why=Why.FAILED)
    _swap(make.mesh(), begun, moves, why=Why.UPGRADE)
    _swap(make.mesh(), begun, [(begun + HOUR, "silenced"), (begun + 2 * HOUR, "stranded")])
    _swap(make.mesh(), END - HOUR, [(END - HOUR, "silenced"), (END + HOUR, "accepted")])

    swaps = facts().now.swaps

    assert (swaps.accepted, swaps.undone) == (2, 1)
    assert (swaps.times.n, swaps.times.median) == (2, Decimal("150.0"))
    assert (swaps.times.promised, swaps.times.kept) == (1, 0)
    assert facts().before.swaps.accepted == 0


def test_families_show_failures_bound_and_stock(firm):
    """Trade rules C12 and C13: 2 failures in 400 radio-years are at most 1.57 a hundred."""
    model = make.radio_model(family="P")
    release = make.release(model)
    for at in range(40):
        mesh = make.mesh()
        radio = make.radio(firmware=release, state=RadioState.ON_AIR)
        ended = {"until": END, "why_ended": EndReason.FAILED} if at < 2 else {}
        make.service(mesh, radio, since=END - timedelta(days=3652.5), **ended)
    make.spare(firmware=release)
    (family,) = facts().families
    assert (family.name, family.failures, family.years) == ("P", 2, Decimal("400.0"))
    assert (family.rate, family.upper, family.few) == (Decimal("0.5"), Decimal("1.6"), False)
    assert (family.in_service, family.ready, family.spares) == (38, 1, 1)
    assert family.cluster == Cluster(2, date(2027, 3, 1), date(2027, 3, 1))


def test_few_years_are_said_to_be_few(firm):
    make.service(make.mesh(), since=END - timedelta(days=365))
    (family,) = facts().families
    assert (family.few, family.failures) == (True, 0)
    assert family.upper > 100  # about 300: one radio-year without a failure says nearly nothing


def test_a_spare_in_a_home_is_no_part_of_the_stock(firm):
    home = make.site()
    make.spare(place=make.place_at(home), firmware=make.release(make.radio_model(family="P")))
    assert facts().families == ()


def test_headroom_is_that_of_the_copy_then(firm):
    mesh = make.mesh(table_use={"children": 1})
    period = make.service(mesh)
    make.limit(period.radio.model, Resource.CHILDREN, 50)
    make.snapshot(mesh, taken_at=END - DAY, table_use={"children": 46})
    make.snapshot(mesh, taken_at=START - DAY, table_use={"children": 20})
    found = facts()
    assert (found.now.tight, found.before.tight) == (1, 0)
    assert [(each.resource, each.used, each.limit) for each in found.tight] == [("children", 46, 50)]


def test_agreements_that_end_within_ninety_days_and_none_follows(firm):
    soon, renewed, later, over = (make.site() for _ in range(4))
    make.agreement(soon, ends_on=LAST + DAY * 90)
    make.agreement(renewed, ends_on=LAST + DAY * 30)
    make.agreement(renewed, starts_on=LAST + DAY * 31)
    make.agreement(later, ends_on=LAST + DAY * 91)
    make.agreement(over, ends_on=LAST)
    assert [each.code.split("/")[0] for each in facts().ending] == [soon.code]


def test_rounds_that_broke_off_failed_or_were_late(firm):
    """By hand: from the start of the month 48 h to the first, 2 h to the next, the rest of 672 h to the end."""
    make.round_(started_at=START - HOUR)
    make.round_(started_at=START + 48 * HOUR, errors=[{"mesh": "A"}])
    make.round_(started_at=START + 50 * HOUR, state=RoundState.BROKEN)
    rounds = facts().rounds
    assert (rounds.ran, rounds.broken, rounds.with_errors) == (2, 1, 1)
    assert (rounds.late, rounds.longest) == (2, Decimal("622.0"))


def test_a_book_is_not_late_before_its_first_round(firm):
    make.round_(started_at=END - HOUR)
    assert facts().rounds.late == 0


def test_the_tray_is_that_of_the_end_of_the_month(firm):
    make.tray_item(received_at=START - DAY)
    make.tray_item(received_at=START + DAY, cleared_at=END - DAY)
    make.tray_item(received_at=START + DAY, cleared_at=END + DAY)
    make.tray_item(received_at=END + DAY)
    found = facts()
    assert (found.now.waiting, found.before.waiting) == (2, 1)
    assert [(each.count, each.oldest) for each in found.waiting] == [(2, date(2027, 1, 31))]


def test_unsigned_hand_over_sheets_in_force(firm, owner):
    signed, unsigned = make.sheet(make.site()), make.sheet(make.site(), stale_since=make.NOW)
    make.sheet(unsigned.site, make.mesh(site=unsigned.site))
    Signature.objects.create(
        sheet=signed,
        name="Ingunn",
        role="client",
        method="typed",
        signed_at=make.NOW,
        zone="UTC",
        account=owner,
        sheet_digest=signed.digest,
        sheet_sha256=signed.sha256,
    )
    papers = facts().papers
    assert (papers.handovers, papers.unsigned, papers.stale) == (2, 1, 1)


def test_homes_not_covered_come_worst_first_with_reason_and_act(firm):
    drill, act = Age.DRILL_NEVER.of(), Act.HOLD_DRILL.of(mesh="TERN-2")
    thin = make.mesh(readiness=State.THIN, readiness_told={"act": as_plain(act)})
    bare = make.mesh(readiness=State.COVERED)
    change(thin, START, State.THIN, told=as_plain(drill))
    change(bare, START + DAY, State.BARE, told=as_plain(Ready.SPARE_NONE.of(mesh="GULL-5")))
    found = facts().troubled
    assert [(each.state, each.reason, each.act) for each in found] == [
        ("bare", Ready.SPARE_NONE.of(mesh="GULL-5"), None),
        ("thin", drill, act),
    ]
    assert found[0].since == date(2027, 2, 2)


def test_a_home_judged_before_reasons_had_codes_says_what_its_gate_says(firm):
    old = make.mesh(readiness=State.THIN, readiness_act="Hold a drill.")
    change(old, START, State.THIN, gate="drill", reason="Drill overdue.")

    (found,) = facts().troubled

    assert (found.reason, found.act, found.stands_so) == (Gate.DRILL.of(), None, True)


def test_a_stranded_home_is_told_what_helps_and_not_what_its_gate_asks_for(firm):
    stranded = make.mesh(readiness=State.THIN, readiness_told={"act": as_plain(Act.HOLD_DRILL.of(mesh="A"))})
    change(stranded, START, State.THIN, gate="drill")
    make.drill(stranded, kind=DrillKind.LIVE, result="failed", done_at=END - DAY)

    (found,) = facts().troubled

    assert found.act == Act.AFTER_STRANDING.of()


def test_long_lists_are_cut_and_say_by_how_much(firm):
    for _ in range(42):
        mesh = make.mesh()
        make.agreement(mesh.site, ends_on=LAST + DAY)
        change(mesh, START, State.BARE)
    found = facts()
    assert (len(found.troubled), found.troubled_left_out) == (40, 2)
    assert (len(found.ending), found.ending_left_out) == (40, 2)
    sheet = issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW)
    with sheet.file.open("rb") as held:
        assert text_of(held.read()).count(squeezed("2 more, not listed here.")) == 2


def test_no_key_of_any_home_is_on_the_month(firm):
    mesh = make.mesh()
    make.service(mesh)
    taken_at = END - DAY
    receive(mesh, document(mesh, taken_at), Origin(How.PUSH, "controller"), taken_at)
    change(mesh, END - HOUR, State.BARE)
    sheet = issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW)
    with sheet.file.open("rb") as held:
        body = held.read()
    printed = text_of(body).lower()
    mesh.refresh_from_db()
    assert mesh.key_mark.lower() not in printed
    for name in (mesh.code, "link 4096"):
        assert key(name).hex() not in printed
        assert key(name) not in body


def test_what_the_book_does_not_record_is_named(firm):
    assert {Unrecorded.CALLBACKS, Unrecorded.FIRST_VISIT, Unrecorded.HOURS} <= set(facts().unrecorded)


def _crowd(homes: int) -> None:
    model = make.radio_model(family="P")
    release = make.release(model)
    make.limit(model, Resource.CHILDREN, 50)
    for _ in range(homes):
        mesh = make.mesh()
        make.agreement(mesh.site, ends_on=LAST + DAY)
        make.service(mesh, make.radio(firmware=release))
        make.snapshot(mesh, taken_at=END - DAY, table_use={"children": 46})
        change(mesh, START, State.BARE)
        make.drill(mesh, done_at=END - DAY, minutes=30)
        make.tray_item(mesh, received_at=START)
        make.sheet(mesh.site)
        _swap(mesh, START, [(END - DAY, "silenced")])


@pytest.mark.parametrize("homes", [1, 12])
def test_the_facts_take_as_many_statements_for_a_large_book(firm, django_assert_num_queries, homes):
    _crowd(homes)
    shelf = SpareShelf.load()
    with django_assert_num_queries(20):
        digest_facts(FIRST, LAST, HEAD, shelf)


def test_an_empty_book_has_a_month_without_a_single_per_cent():
    sheet = issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW)
    with sheet.file.open("rb") as held:
        said = text_of(held.read())
    assert squeezed("No home was judged by the end of 28 February 2027") in said
    assert "100%" not in said


def test_one_home_is_told_in_words_and_not_in_per_cent(firm):
    change(make.mesh(), START, State.COVERED)
    make.round_(started_at=START + HOUR)
    sheet = issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW)
    with sheet.file.open("rb") as held:
        said = text_of(held.read())
    assert squeezed("1 of 1 home was covered") in said
    assert "100" not in said.replace("per100radio-years", "")


def test_a_month_is_issued_under_the_letter_m_and_given_again_while_nothing_changes(firm):
    first = issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW)
    assert first.number.startswith("M-000001-")
    assert (first.site, first.kind, first.about) == (None, SheetKind.DIGEST, "2027-02")
    assert issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW + HOUR) == first
    make.tray_item(received_at=START)
    assert issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW + HOUR).replaces == first


def test_the_page_says_which_month_is_missing_and_issues_it(as_owner, firm):
    make.tray_item(received_at=datetime(2026, 1, 20, tzinfo=UTC))
    html = as_owner.get(reverse("months")).content.decode()
    assert "No month of the book has been issued yet" in html
    answer = as_owner.post(reverse("month-issue"), {"month": "2026-01"}, follow=True)
    sheet = Sheet.objects.get()
    assert sheet.about == "2026-01"
    assert sheet.number in answer.content.decode()


@pytest.mark.parametrize(
    ("month", "said"),
    [
        ("0001-01", "month: 0001-01 lies before the book, which begins on 2026-01-20; right is 2026-01 to"),
        ("1999-01", "month: 1999-01 lies before the book"),
        ("9999-12", "month: 9999-12 is not over"),
    ],
)
def test_a_month_of_which_the_book_can_know_nothing_is_refused(as_owner, firm, month, said):
    make.tray_item(received_at=datetime(2026, 1, 20, tzinfo=UTC))

    answer = as_owner.post(reverse("month-issue"), {"month": month}, follow=True)

    assert (answer.status_code, said in answer.content.decode()) == (200, True)
    assert not Sheet.objects.exists()


def test_the_book_begins_with_its_first_dated_row_on_the_clock_of_the_firm(firm, django_assert_num_queries):
    assert book_begins("Europe/Oslo") is None
    make.tray_item(received_at=datetime(2026, 5, 1, tzinfo=UTC))
    make.snapshot(make.mesh(), taken_at=datetime(2026, 3, 31, 23, tzinfo=UTC))

    with django_assert_num_queries(1):
        assert book_begins("Europe/Oslo") == date(2026, 4, 1)
    assert months_to_choose(date(2026, 6, 1), date(2026, 4, 1)) == [
        date(2026, month, 1) for month in (6, 5, 4)
    ]


def test_a_month_that_is_none_is_refused_by_name(as_owner, firm):
    answer = as_owner.post(reverse("month-issue"), {"month": "soon"}, follow=True)
    assert "month: “soon” is no month; write one such as" in answer.content.decode()
    assert not Sheet.objects.exists()


@pytest.mark.parametrize("name", ["months", "month-issue"])
@pytest.mark.parametrize("role", [Role.TECHNICIAN, Role.SUBCONTRACTOR])
def test_others_find_no_owners_papers(client, name, role):
    ends = {"access_ends_on": "2999-01-01"} if role == Role.SUBCONTRACTOR else {}
    client.force_login(make.person(role=role, **ends))
    url = reverse(name)
    assert (client.get(url) if name == "months" else client.post(url)).status_code == 404


def test_the_menu_leads_the_owner_there_and_no_technician(as_owner, client):
    there = f'href="{reverse("months")}"'
    assert there in as_owner.get(reverse("board")).content.decode()
    client.force_login(make.person(role=Role.TECHNICIAN))
    assert there not in client.get(reverse("board")).content.decode()


def test_a_month_opens_on_the_pages_that_every_sheet_has(as_owner, firm):
    sheet = issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW)
    assert as_owner.get(reverse("sheet-about", args=[sheet.number])).status_code == 200
    short = sheet.digest[:16].upper()
    answer = as_owner.get(reverse("paper-verify", args=[sheet.number, short]))
    assert answer.status_code == 200


def test_only_those_who_decide_read_the_file(firm, client):
    sheet = issuing.issue(digest_of(FIRST, LAST), "Orla", make.NOW)
    url = reverse("sheet-file", args=[sheet.number])
    answers = {}
    for role in (Role.OWNER, Role.OFFICE, Role.TECHNICIAN):
        client.force_login(make.person(role=role))
        answers[role] = client.get(url).status_code
    assert answers == {Role.OWNER: 200, Role.OFFICE: 200, Role.TECHNICIAN: 404}


@pytest.mark.parametrize("months", [1, 8])
def test_the_page_takes_five_statements(as_owner, firm, django_assert_num_queries, months):
    for month in range(1, months + 1):
        first = date(2026, month, 1)
        issuing.issue(digest_of(first, first + DAY * 27), "Orla", make.NOW)
    with django_assert_num_queries(5):  # session, person, firm, sheets, where the book begins
        as_owner.get(reverse("months"))


def test_the_command_writes_the_month_that_was_asked_for(firm, tmp_path):
    make.tray_item(received_at=datetime(2025, 12, 1, tzinfo=UTC))
    out = StringIO()
    call_command("sheet", "digest", "2026-01", "--out", str(tmp_path / "m.pdf"), stdout=out)
    assert (tmp_path / "m.pdf").read_bytes().startswith(b"%PDF-")
    assert out.getvalue().startswith("M-000001-")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["2026-13"], "month: “2026-13” is no month"),
        (["2999-01"], "month: 2999-01 is not over"),
        (["2026-01", "--from", "2026-01-01"], "--from 2026-01-01: only the evidence pack takes it"),
    ],
)
def test_the_command_says_what_is_wrong_and_writes_nothing(firm, tmp_path, arguments, said):
    out = tmp_path / "m.pdf"
    with pytest.raises(CommandError, match=said):
        call_command("sheet", "digest", *arguments, "--out", str(out))
    assert (out.exists(), Sheet.objects.exists()) == (False, False)


def test_locked_out_copies_are_no_help_to_nobody(firm):
    """A copy of an older key is never the newest: the copy that brought the newer key is."""
    mesh = make.mesh()
    make.snapshot(mesh, taken_at=END - 5 * DAY, currency=Currency.LOCKED_OUT)
    make.snapshot(mesh, taken_at=END - 2 * DAY)
    assert facts().now.ages.median == Decimal("48.0")
