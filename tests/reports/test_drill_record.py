"""The record of one drill, from rows."""

from datetime import date, timedelta

import pytest

from fleet.mesh.codes import read_sheet_number
from fleet.models import DrillKind, DrillResult, EvidenceKind, RadioState
from fleet.queries.spares import SpareShelf
from reports.facts.drill import Blank, SameBuild
from reports.facts.head import Issue
from reports.queries.drill import drill_record_facts
from reports.queries.subjects import again, drill_of
from reports.verbs import issuing
from tests import make
from tests.reports.reading import text_of

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)
HELD = make.NOW - 2 * DAY


@pytest.fixture
def mesh():
    make.firm()
    home = make.site(code="KELP-7")
    make.agreement(home, drill_interval_days=182)
    return make.mesh(site=home)


@pytest.fixture
def build():
    return make.release(make.radio_model(family="P"), version="6.10")


@pytest.fixture
def drill(mesh, build):
    """A bench write that passed, on a radio that was proven blank three hours later."""
    radio = make.spare(code="A2-0110", firmware=build, blank_proven_at=HELD + timedelta(hours=3))
    return make.drill(
        mesh,
        radio=radio,
        snapshot=make.snapshot(mesh, taken_at=HELD - timedelta(hours=9)),
        source_release=build,
        target_release=build,
        done_at=HELD,
        minutes=38,
        by="Noor Vantongeren",
    )


def facts(drill, now=make.NOW):
    return drill_record_facts(
        drill, Issue("D-000001-0", 1, drill_of(drill).there(now)), SpareShelf.load(), now
    )


def said(drill, now=make.NOW) -> str:
    with issuing.issue(drill_of(drill), "Orla", now).file.open("rb") as held:
        return text_of(held.read())


def test_its_number_begins_with_d_and_it_is_of_its_mesh(drill):
    sheet = issuing.issue(drill_of(drill), "Orla", make.NOW)

    assert read_sheet_number(sheet.number).kind == "D"
    assert sheet.mesh == drill.mesh
    assert again(sheet).drill == drill


def test_it_says_what_was_rehearsed_and_what_came_of_it(drill):
    printed = said(drill)

    assert "Benchwritetoablankspare:passedin38min" in printed
    assert "NoorVantongeren" in printed
    assert drill.snapshot.sha256[:4].upper() in printed


def test_only_a_live_swap_proves_that_devices_answer(drill):
    bench = said(drill)
    drill.kind = DrillKind.LIVE
    drill.save()
    live = said(drill)

    assert "Onlyaliveswapprovesthat:nothingwasonairhere." in bench
    assert "Thedevicesofthismeshansweredanotherradio" not in bench
    assert "Thedevicesofthismeshansweredanotherradio" in live


def test_a_live_drill_that_failed_proves_nothing(drill):
    drill.kind, drill.result = DrillKind.LIVE, DrillResult.FAILED
    drill.save()

    printed = said(drill)

    assert "Thedevicesofthismeshanswered" not in printed
    assert "Whatstoppeditmustbefound" in printed


@pytest.mark.parametrize(
    ("trials", "percent"),
    [(22, "12.7"), (29, "9.8"), (59, "5.0")],
    ids=lambda each: f"trade rule C16: {each}",
)
def test_the_claim_is_that_of_its_family_pair(drill, build, trials, percent):
    """59 drills give 4.95 %, which is 5.0 at one decimal (1 - 0.05^(1/59) = 0.04951)."""
    elsewhere = make.mesh()
    for _ in range(trials - 1):
        make.drill(elsewhere, source_release=build, target_release=build)

    claim = facts(drill).claim

    assert (claim.families, claim.trials, str(claim.failing_percent)) == ("P → P", trials, percent)


def test_one_failure_in_the_family_leaves_no_claim(drill, build):
    make.drill(make.mesh(), source_release=build, target_release=build, result=DrillResult.FAILED)

    claim = facts(drill).claim

    assert (claim.trials, claim.passes, claim.failing_percent) == (2, 1, None)
    assert "noshareoffailinghomesmaybeclaimed" in said(drill)


def test_paper_walk_throughs_and_other_families_count_for_nothing(drill, build):
    other = make.release(make.radio_model(family="Q"))
    make.drill(make.mesh(), source_release=build, target_release=build, kind=DrillKind.PAPER)
    make.drill(make.mesh(), source_release=build, target_release=other)

    assert facts(drill).claim.trials == 1


def test_a_build_that_was_changed_since_is_said(drill):
    assert facts(drill).same_build is SameBuild.SAME
    drill.radio.firmware = make.release(drill.radio.model)
    drill.radio.save()

    assert facts(drill).same_build is SameBuild.OTHER
    assert "NO:thebuildwaschangedsince" in said(drill)


@pytest.mark.parametrize(
    ("hours", "blank"), [(3, Blank.PROVEN), (-3, Blank.NOT_PROVEN), (None, Blank.NOT_PROVEN)]
)
def test_only_a_proof_after_the_drill_makes_the_radio_blank(drill, hours, blank):
    drill.radio.blank_proven_at = None if hours is None else HELD + timedelta(hours=hours)
    drill.radio.save()

    assert facts(drill).blank is blank


def test_a_radio_that_stayed_on_air_after_a_live_swap_need_not_be_blank(drill):
    drill.kind = DrillKind.LIVE
    drill.save()
    drill.radio.state, drill.radio.blank_proven_at = RadioState.ON_AIR, None
    drill.radio.save()

    assert facts(drill).blank is Blank.ON_AIR


def test_the_next_one_is_due_when_the_agreement_says(drill):
    """182 days after 24 March 2027 is 22 September (both at the home)."""
    due = facts(drill).next_drill

    assert (due.interval_days, due.due_on, due.overdue) == (182, date(2027, 9, 22), False)
    assert facts(drill, make.NOW + 190 * DAY).next_drill.overdue


def test_without_an_agreement_no_day_is_agreed(drill):
    drill.mesh.site.agreements.all().delete()

    assert facts(drill).next_drill is None


def test_the_numbers_that_it_took_come_from_the_ledger(drill):
    make.evidence(drill.mesh, 17_080_656, at=HELD, kind=EvidenceKind.DRILL)
    make.evidence(drill.mesh, 18_000_000, at=HELD - 3 * DAY, kind=EvidenceKind.DRILL)
    make.evidence(drill.mesh, 19_000_000, at=HELD, kind=EvidenceKind.SNAPSHOT)

    assert facts(drill).numbers_to == 17_080_656


def test_a_drill_of_which_nothing_else_is_known_has_its_record_too():
    bare = make.drill(make.mesh(), kind=DrillKind.PAPER)

    printed = said(bare)

    assert "Paperwalk-through:passed" in printed
    assert "notrecorded" in printed


def test_a_drill_that_is_gone_has_no_subject(drill):
    sheet = issuing.issue(drill_of(drill), "Orla", make.NOW)
    drill.delete()

    assert again(sheet) is None


def test_the_same_facts_give_the_same_record_again(drill):
    first = issuing.issue(drill_of(drill), "Orla", make.NOW)

    assert issuing.issue(drill_of(drill), "Orla", make.NOW) == first
