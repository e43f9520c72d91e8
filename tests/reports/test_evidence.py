"""Evidence packs: what the rows of a home show, what they do not, and the journal that a reader can check."""

import hashlib
import json
import time
from datetime import UTC, date, datetime, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from fleet.models import (
    DrillKind,
    EndReason,
    EvidenceKind,
    Grade,
    How,
    JournalEntry,
    ReadinessChange,
    ReplacementMove,
    Snapshot,
    Why,
)
from fleet.planning.journal_chain import Head
from fleet.planning.readiness import State
from fleet.queries.journal_chain import check
from fleet.verbs.intake import Origin, receive
from fleet.verbs.journal_chain import seal
from reports.facts.evidence import ChainEnd, Gap, Lack, MonthOfCopies
from reports.facts.head import Issue
from reports.facts.snapshots import DayMark
from reports.models import Sheet, SheetKind, Signature
from reports.queries.evidence import evidence_facts, exported, journal_lines
from reports.queries.subjects import evidence_of
from reports.verbs import issuing
from sites.models import Role
from tests import make
from tests.documents import document, key
from tests.reports.reading import pages, squeezed, text_of

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2027, 3, 1), date(2027, 3, 31)
NOON = datetime(2027, 3, 1, 11, 0, tzinfo=UTC)
DAY, HOUR = timedelta(days=1), timedelta(hours=1)
HEAD = Issue("V-000001-3", 1, make.NOW)


@pytest.fixture
def mesh():
    make.firm()
    return make.mesh(site=make.site(code="KELP-7", client=make.client(name="Ingunn Sæther")))


def facts(site, first=FIRST, last=LAST):
    return evidence_facts(site, first, last, HEAD)


def shown(mesh):
    (found,) = facts(mesh.site).meshes
    return found


def said(sheet: Sheet) -> str:
    with sheet.file.open("rb") as held:
        return text_of(held.read())


def test_copies_are_counted_by_month_and_grade(mesh):
    for day, grade in enumerate(
        (Grade.PROVEN, Grade.SEEN_LIVE, Grade.SOUND, Grade.SOUND, Grade.HELD, Grade.LANDED)
    ):
        make.snapshot(mesh, taken_at=NOON + DAY * day, grade=grade)
    make.snapshot(mesh, taken_at=NOON - DAY)
    make.snapshot(mesh, taken_at=NOON + DAY, gone_at=make.NOW)
    (month,) = shown(mesh).months
    assert month == MonthOfCopies(
        month=FIRST, days=31, days_without=27, proven=1, seen_live=1, sound=3, not_sound=2, erased_since=1
    )


def test_a_period_is_cut_into_its_months(mesh):
    found = facts(mesh.site, date(2027, 1, 20), date(2027, 3, 2)).meshes[0].months
    assert [(month.month, month.days) for month in found] == [
        (date(2027, 1, 1), 12),
        (date(2027, 2, 1), 28),
        (date(2027, 3, 1), 2),
    ]


def test_gaps_are_told_with_their_days_and_against_the_promise(mesh):
    make.agreement(mesh.site, recovery_point_hours=168)
    for day in range(31):
        if not 2 <= day <= 16 and not 20 <= day <= 22:
            make.snapshot(mesh, taken_at=NOON + DAY * day)
    assert shown(mesh).gaps == (
        Gap(date(2027, 3, 3), date(2027, 3, 17), over_promise=True),
        Gap(date(2027, 3, 21), date(2027, 3, 23), over_promise=False),
    )
    sheet = issuing.issue(evidence_of(mesh.site, FIRST, LAST), "Orla", make.NOW)
    assert squeezed("No copy from 3 March 2027 to 17 March 2027: 15 days, LONGER THAN PROMISED") in said(
        sheet
    )


def test_days_are_those_of_the_home(mesh):
    """23:30 UTC on 31 March is 1 April in Oslo."""
    make.snapshot(mesh, taken_at=datetime(2027, 3, 31, 22, 30, tzinfo=UTC))
    assert shown(mesh).days == ()


def test_the_calendar_marks_the_best_copy_of_each_day(mesh):
    make.snapshot(mesh, taken_at=NOON, grade=Grade.HELD)
    make.snapshot(mesh, taken_at=NOON + HOUR, grade=Grade.PROVEN)
    make.snapshot(mesh, taken_at=NOON + DAY, grade=Grade.LANDED)
    marks = [each.mark for each in shown(mesh).days]
    assert marks[:3] == [DayMark.PROVEN, DayMark.LANDED, DayMark.NONE]
    assert len(marks) == 31


def test_radios_in_service_in_the_period(mesh):
    old = make.service(mesh, since=NOON - 400 * DAY, until=NOON + 3 * DAY, why_ended=EndReason.FAILED)
    new = make.service(mesh, make.radio(), since=NOON + 4 * DAY)
    found = shown(mesh).service
    assert [each.serial for each in found] == [old.radio.serial, new.radio.serial]
    assert (found[0].why_ended, found[1].until) == ("failed", None)


def test_a_radio_that_served_before_or_after_is_not_there(mesh):
    make.service(mesh, since=NOON - 400 * DAY, until=NOON - 3 * DAY, why_ended=EndReason.UPGRADE)
    make.service(mesh, make.radio(), since=NOON + 40 * DAY)
    assert shown(mesh).service == ()


def test_drills_stand_with_minutes_and_promise(mesh):
    make.agreement(mesh.site, recovery_time_minutes=60)
    source = make.release(version="6.9")
    make.drill(mesh, done_at=NOON, minutes=51, source_release=source, by="Noor")
    make.drill(mesh, done_at=NOON + DAY, minutes=61, kind=DrillKind.LIVE)
    make.drill(mesh, done_at=NOON - 2 * DAY)
    found = shown(mesh)
    assert [(each.minutes, each.kept, each.kind) for each in found.drills] == [
        (51, True, "bench"),
        (61, False, "live"),
    ]
    assert [(each.version, each.first) for each in found.builds] == [("6.9", FIRST)]


def _swap(mesh, **given):
    swap = make.replacement(mesh, asked_at=NOON, **given)
    for hours, became in ((1, "silenced"), (4, "accepted")):
        ReplacementMove.objects.create(replacement=swap, at=NOON + HOUR * hours, became=became, by="Noor")
    return swap


def test_swaps_stand_with_their_time_and_promise(mesh):
    make.agreement(mesh.site, recovery_time_minutes=240)
    swap = _swap(mesh, why=Why.FAILED)
    ReplacementMove.objects.create(replacement=swap, at=NOON + 40 * DAY, became="closed", by="Noor")
    (found,) = shown(mesh).swaps
    assert (found.why, found.state, found.minutes, found.kept) == ("failed", "accepted", 240, True)
    assert (found.old, found.new) == (swap.old_radio.serial, swap.new_radio.serial)


def test_a_swap_of_another_time_is_not_there(mesh):
    swap = make.replacement(mesh, asked_at=NOON - 40 * DAY)
    ReplacementMove.objects.create(replacement=swap, at=NOON - 39 * DAY, became="dropped", by="Noor")
    assert shown(mesh).swaps == ()


def test_what_was_given_out_is_dated_and_its_number_never_printed(mesh):
    make.evidence(mesh, 17_080_656, at=NOON, kind=EvidenceKind.RESTORE, by="Noor")
    make.evidence(mesh, 17_664_592, at=NOON + HOUR, kind=EvidenceKind.DRILL)
    make.evidence(mesh, 900, at=NOON)
    assert [(each.kind, each.by) for each in shown(mesh).given_out] == [("restore", "Noor"), ("drill", None)]
    printed = said(issuing.issue(evidence_of(mesh.site, FIRST, LAST), "Orla", make.NOW))
    assert "17,080,656" not in printed
    assert "17080656" not in printed


def test_keys_are_seen_by_their_days_only(mesh):
    make.snapshot(mesh, taken_at=NOON, key_mark="AAAA1111", key_sequence=4)
    make.snapshot(mesh, taken_at=NOON + 9 * DAY, key_mark="AAAA1111", key_sequence=4)
    make.snapshot(mesh, taken_at=NOON + 10 * DAY, key_mark="BBBB2222", key_sequence=5)
    make.snapshot(mesh, taken_at=NOON + 11 * DAY, key_mark="CCCC3333", grade=Grade.HELD)
    assert [(each.first.day, each.last.day) for each in shown(mesh).epochs] == [(1, 10), (11, 11)]
    assert "AAAA1111" not in said(issuing.issue(evidence_of(mesh.site, FIRST, LAST), "Orla", make.NOW))


def test_readiness_counts_days_and_is_honest_about_the_rest(mesh):
    ReadinessChange.objects.create(mesh=mesh, at=NOON + 10 * DAY, became=State.THIN)
    ReadinessChange.objects.create(mesh=mesh, at=NOON + 20 * DAY, became=State.COVERED)
    for day in range(10, 25):
        make.round_(started_at=NOON + DAY * day)
    found = shown(mesh)
    assert [(each.state, each.days) for each in found.states] == [("covered", 4), ("thin", 11), (None, 16)]
    assert sum(each.days for each in found.states) == 31


def test_sheets_stand_with_number_digest_and_signature(mesh, owner):
    sheet = make.sheet(mesh.site, issued_at=NOON)
    make.sheet(mesh.site, mesh, issued_at=NOON - DAY)
    Signature.objects.create(
        sheet=sheet,
        name="Ingunn Sæther",
        role="client",
        method="typed",
        signed_at=NOON,
        zone="UTC",
        account=owner,
        sheet_digest=sheet.digest,
        sheet_sha256=sheet.sha256,
    )
    (paper,) = facts(mesh.site).papers
    assert (paper.number, paper.sha256, paper.signed[0].name) == (sheet.number, sheet.sha256, "Ingunn Sæther")


def test_agreements_of_the_period_and_no_other(mesh):
    make.agreement(mesh.site, starts_on=date(2025, 1, 1), ends_on=date(2027, 2, 28))
    make.agreement(mesh.site, starts_on=date(2027, 3, 1), ends_on=date(2027, 3, 10), recovery_point_hours=24)
    make.agreement(mesh.site, starts_on=date(2027, 3, 11), recovery_point_hours=48)
    make.agreement(mesh.site, starts_on=date(2027, 4, 1))
    assert [each.point_hours for each in facts(mesh.site).promises] == [24, 48]


def test_who_looked_after_the_home_is_taken_from_the_journal(mesh):
    for day, (who, subject) in enumerate((("Noor", "KELP-7"), ("Noor", "KELP-7-A"), ("Orla", "KELP-7"))):
        make.journal_line(who=who, subject=subject, at=NOON + DAY * day)
    make.journal_line(who="Pekka", subject="MOSS-1", at=NOON)
    assert [(each.name, each.lines) for each in facts(mesh.site).carers] == [("Noor", 2), ("Orla", 1)]


def test_what_is_not_shown_is_named(mesh):
    found = {each.lack for each in facts(mesh.site).not_shown}
    assert found == {
        Lack.NO_COPY,
        Lack.NO_DRILL,
        Lack.NOT_JUDGED,
        Lack.NO_SERVICE,
        Lack.NO_PROMISE,
        Lack.NO_JOURNAL,
    }


def test_the_annex_states_the_digest_of_the_exported_lines(mesh):
    for day in range(3):
        make.journal_line(subject="KELP-7", at=NOON + DAY * day, details={"reason": "not exported"})
    annex = facts(mesh.site).annex
    body = exported(journal_lines(mesh.site, FIRST, LAST))
    assert annex.sha256 == hashlib.sha256(body).hexdigest()
    assert [sorted(json.loads(line)) for line in body.splitlines()] == [
        ["at", "digest", "number", "place", "subject", "what", "who"]
    ] * 3


def test_one_altered_line_is_another_digest(mesh):
    line = make.journal_line(subject="KELP-7", at=NOON)
    before = facts(mesh.site).annex.sha256
    JournalEntry.objects.filter(pk=line.pk).update(who="somebody else")
    assert facts(mesh.site).annex.sha256 != before


def test_the_annex_says_where_its_last_line_stands_in_the_chain(mesh):
    make.journal_line(subject="KELP-7", at=NOON)
    assert facts(mesh.site).annex.chain is None
    assert Lack.NO_CHAIN in {each.lack for each in facts(mesh.site).not_shown}
    seal(make.NOW)
    make.journal_line(subject="GULL-5", at=NOON)
    seal(make.NOW)
    found = facts(mesh.site)
    line = JournalEntry.objects.get(subject="KELP-7")
    assert found.annex.chain == ChainEnd(line.place, line.digest)
    assert Lack.NO_CHAIN not in {each.lack for each in found.not_shown}
    assert check([Head(line.place, line.digest)])[1] is None


def test_lines_of_a_day_that_say_the_same_are_printed_once_with_their_number(mesh):
    for hour in range(5):
        make.journal_line(
            who="controller", what="snapshot taken in", subject="KELP-7-A", at=NOON + HOUR * hour
        )
    make.journal_line(who="Noor", what="mesh changed", subject="KELP-7-A", at=NOON + HOUR * 6)
    annex = facts(mesh.site).annex
    assert (annex.count, [each.times for each in annex.entries]) == (6, [5, 1])


def test_a_pack_is_issued_under_the_letter_v(mesh):
    sheet = issuing.issue(evidence_of(mesh.site, FIRST, LAST), "Orla", make.NOW)
    assert sheet.number.startswith("V-000001-")
    assert (sheet.kind, sheet.site, sheet.mesh) == (SheetKind.EVIDENCE, mesh.site, None)


def test_no_key_of_the_home_is_on_the_pack(mesh):
    make.service(mesh)
    taken_at = NOON
    receive(mesh, document(mesh, taken_at), Origin(How.PUSH, "controller"), taken_at)
    sheet = issuing.issue(evidence_of(mesh.site, FIRST, LAST), "Orla", make.NOW)
    printed = said(sheet).lower()
    with sheet.file.open("rb") as held:
        body = held.read()
    for name in (mesh.code, "link 4096"):
        assert key(name).hex() not in printed
        assert key(name) not in body
    mesh.refresh_from_db()
    assert mesh.key_mark.lower() not in printed


@pytest.mark.parametrize("meshes", [1, 4])
def test_the_facts_take_as_many_statements_for_many_meshes(mesh, django_assert_num_queries, meshes):
    for number in range(meshes):
        other = mesh if number == 0 else make.mesh(site=mesh.site)
        make.service(other)
        for day in range(5):
            make.snapshot(other, taken_at=NOON + DAY * day)
            make.journal_line(subject=other.code, at=NOON)
        make.drill(other, done_at=NOON)
        _swap(other)
        make.sheet(mesh.site, other, issued_at=NOON)
    with django_assert_num_queries(15):
        facts(mesh.site)


def test_a_year_of_one_home_takes_no_twenty_seconds(mesh):
    """Trade row W9. A copy and its journal line every hour is more than any home sends."""
    hours = [NOON - HOUR * hour for hour in range(365 * 24)]
    one = make.snapshot(mesh, taken_at=NOON - 400 * DAY)
    fields = [each.attname for each in one._meta.concrete_fields if each.attname not in ("id", "uid")]
    plain = {name: getattr(one, name) for name in fields}
    Snapshot.objects.bulk_create(
        [
            Snapshot(
                **{**plain, "taken_at": moment, "meaning_mark": hashlib.sha256(str(moment).encode()).digest()}
            )
            for moment in hours
        ],
        batch_size=500,
    )
    JournalEntry.objects.bulk_create(
        [
            JournalEntry(at=moment, who="controller", what="snapshot taken in", subject=mesh.code)
            for moment in hours
        ],
        batch_size=500,
    )
    began = time.monotonic()
    sheet = issuing.issue(evidence_of(mesh.site, date(2026, 3, 1), date(2027, 2, 28)), "Orla", make.NOW)
    took = time.monotonic() - began
    assert took < 20
    with sheet.file.open("rb") as held:
        assert len(pages(held.read())) > 5


def test_the_command_writes_pack_and_journal_that_fit_together(mesh, tmp_path):
    make.journal_line(subject="KELP-7", at=datetime(2025, 6, 1, tzinfo=UTC))
    pdf, log, out = tmp_path / "v.pdf", tmp_path / "lines.json", StringIO()
    days = ["--from", "2025-04-01", "--until", "2025-12-31"]
    call_command("sheet", "evidence", "kelp-7", *days, "--out", str(pdf), "--journal", str(log), stdout=out)
    assert out.getvalue().startswith("V-000001-")
    assert hashlib.sha256(log.read_bytes()).hexdigest() in text_of(pdf.read_bytes())


@pytest.mark.parametrize(
    ("arguments", "said_so"),
    [
        ([], "CODE: an evidence pack is about one home"),
        (["MOSS-1"], "no home MOSS-1"),
        (["KELP-7", "--from", "soon"], "--from: “soon” is no day"),
        (["KELP-7", "--until", "2999-01-01"], "--until: 2999-01-01 is not over"),
        (["KELP-7", "--from", "2025-02-02", "--until", "2025-02-01"], "--from: 2025-02-02 lies after until"),
    ],
)
def test_the_command_says_what_is_wrong_and_writes_nothing(mesh, tmp_path, arguments, said_so):
    out = tmp_path / "v.pdf"
    with pytest.raises(CommandError, match=said_so):
        call_command("sheet", "evidence", *arguments, "--out", str(out))
    assert (out.exists(), Sheet.objects.exists()) == (False, False)


def test_a_journal_that_cannot_be_written_is_said(mesh, tmp_path):
    with pytest.raises(CommandError, match=r"--journal .* cannot be written"):
        call_command(
            "sheet",
            "evidence",
            "KELP-7",
            "--out",
            str(tmp_path / "v.pdf"),
            "--journal",
            str(tmp_path / "no" / "j"),
        )


def test_the_papers_page_offers_the_year_up_to_yesterday(as_owner, mesh):
    html = as_owner.get(reverse("sheets", args=["KELP-7"])).content.decode()
    assert 'name="from" type="date"' in html
    answer = as_owner.post(reverse("evidence-issue", args=["KELP-7"]), follow=True)
    sheet = Sheet.objects.get()
    assert sheet.kind == SheetKind.EVIDENCE
    assert sheet.number in answer.content.decode()


def test_the_papers_page_says_which_day_is_wrong(as_owner, mesh):
    answer = as_owner.post(reverse("evidence-issue", args=["KELP-7"]), {"from": "2026-13-01"}, follow=True)
    assert "from: “2026-13-01” is no day; write one such as" in answer.content.decode()
    assert not Sheet.objects.exists()


def test_a_partner_reads_the_home_and_issues_no_pack(client, mesh):
    client.force_login(make.subcontractor(mesh.site))
    assert "Evidence pack" not in client.get(reverse("sheets", args=["KELP-7"])).content.decode()
    assert client.post(reverse("evidence-issue", args=["KELP-7"])).status_code == 403


def test_a_technician_issues_a_pack(client, mesh):
    client.force_login(make.person(role=Role.TECHNICIAN))
    client.post(reverse("evidence-issue", args=["KELP-7"]))
    assert Sheet.objects.get().kind == SheetKind.EVIDENCE
