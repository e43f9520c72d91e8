"""What a recovery sheet must not say, for somebody would act on it: a radio that does not count, a number twice."""

from dataclasses import replace
from datetime import datetime

import pytest

from fleet.planning.hindrance import Against
from fleet.planning.phrases.fit import Fit
from reports.drawing import job, recovery
from reports.drawing.sheet import Paper
from reports.drawing.spare_words import AGAINST
from reports.facts.radio import NotToTake
from reports.facts.recovery import RecoveryFacts, Taking
from tests.reports import samples
from tests.reports import samples_of_work as work
from tests.reports.reading import squeezed, text_of
from tests.reports.samples import OSLO

STRANDED = datetime(2027, 3, 25, 16, 20, tzinfo=OSLO)
NOT_BLANK = NotToTake("A2-0112", "Alder A2", (Against.NOT_BLANK,), "van 2: drawer", "7.4.2")
BIRCH = NotToTake(
    "B1-0102", "Birch B1", (Against.NO_FIT,), None, "2.1", Fit.ADDRESS_ONCE_USED.of(radio="B1-0102")
)
FAR = NotToTake(
    "A2-0140", "Alder A2", (Against.TOO_FAR,), "far shelf", "7.4.2", away_minutes=370, promised_minutes=240
)


def printed(facts: RecoveryFacts) -> str:
    return text_of(recovery.draw(facts, Paper.A4))


def recovery_sheet() -> str:
    return printed(samples.kelp_recovery())


def job_sheet() -> str:
    return text_of(job.draw(work.kelp_job(), Paper.A4))


def without_spare(*weighed: NotToTake) -> str:
    return printed(replace(samples.kelp_recovery(), spare=None, not_to_take=weighed, taking=None))


def test_where_no_spare_counts_no_radio_is_offered_as_one():
    said = without_spare(NOT_BLANK)

    assert squeezed("No spare counts for this mesh: call the office before you drive.") in said
    assert squeezed("The spare for it") not in said
    assert said.index("DONOTTAKE") < said.index("A2-0112")


@pytest.mark.parametrize(
    ("weighed", "said"),
    [
        (NOT_BLANK, "A2-0112 (Alder A2; van 2: drawer): not proven blank"),
        (
            BIRCH,
            "B1-0102 (Birch B1; not recorded): does not fit: The write-once address of B1-0102 is used up",
        ),
        (FAR, "A2-0140 (Alder A2; far shelf): too far: 6 h 10 min away, 4 h promised"),
        (
            replace(NOT_BLANK, against=(Against.BARRED, Against.NOT_BLANK)),
            "A2-0112 (Alder A2; van 2: drawer): build 7.4.2 is barred; not proven blank",
        ),
    ],
)
def test_a_radio_not_to_take_is_named_with_the_reason(weighed, said):
    assert squeezed(said) in without_spare(weighed)


def test_every_reason_has_its_words():
    assert set(AGAINST) == set(Against)


def test_of_many_radios_not_to_take_five_are_named_and_the_others_counted():
    said = without_spare(*(replace(NOT_BLANK, code=f"A2-9{at}") for at in range(7)))

    assert "A2-94" in said
    assert "A2-95" not in said
    assert "and2morethatdonotcount" in said


def test_where_a_spare_counts_nothing_is_said_of_others():
    said = printed(samples.kelp_recovery())

    assert "Thespareforit" in said
    assert "DONOTTAKE" not in said


@pytest.mark.parametrize("draw", [recovery_sheet, job_sheet])
def test_an_old_radio_never_comes_back_with_the_number_of_another(draw):
    said = draw()

    assert squeezed("without a number of its own, higher than any written (worked out anew; box 8)") in said
    assert "numberfrombox6" not in said


def test_the_estimate_and_the_targets_stand_in_one_line():
    facts = replace(samples.kelp_recovery(), taking=Taking(52, 90, 192, 24))

    said = printed(facts)

    assert squeezed("Estimate 1 h 30 min (52 min to 3 h 12 min), the way there 24 min of it") in said
    assert squeezed("The steps' targets below add up to 57 min") in said
    assert "Steps,57min" not in said


def test_a_spare_that_nobody_fetches_by_car_is_to_be_sent():
    said = printed(replace(samples.kelp_recovery(), taking=Taking(29, 65, 141, 7664, sent=True)))

    assert squeezed("Estimate 1 h 5 min (29 min to 2 h 21 min) once the spare is there") in said
    assert squeezed("it lies 5 days 7 h 44 min away, have it sent") in said


def test_without_an_estimate_the_targets_say_what_they_leave_out():
    said = without_spare()

    assert (
        squeezed("No estimate. The steps' targets below add up to 57 min, the way there not counted.") in said
    )


def test_a_warning_of_the_home_is_no_condition_in_which_not_to_begin():
    said = printed(replace(samples.kelp_recovery(), mind=("Steep ladder to the loft.",)))

    assert said.index("Mind:") < said.index("Steepladdertotheloft.") < said.index("DONOTBEGININ")


def test_a_home_without_warnings_has_no_head_for_them():
    assert "Mind:" not in printed(samples.kelp_recovery())


@pytest.mark.parametrize("paper", Paper)
def test_a_stranded_mesh_is_said_before_anything_else(paper):
    facts = replace(samples.kelp_recovery(), stranded_since=STRANDED)

    said = text_of(recovery.draw(facts, paper))

    first = said.index("STRANDEDSINCE25March2027,16:20")
    assert first < said.index(squeezed("may be deaf")) < said.index("1Where,andwhomtocall")
    assert squeezed("No radio goes on air without a new number") in said
    assert squeezed("The checks of box 3 then prove power and cable only") in said


def test_a_job_sheet_says_it_first_too_and_has_no_checks_to_doubt():
    said = text_of(job.draw(replace(work.kelp_job(), stranded_since=STRANDED, checks=()), Paper.A4))

    assert said.index("STRANDEDSINCE") < said.index("CAUTIONS,BEFOREANYBODY")
    assert "Thechecksofbox3" not in said


def test_a_mesh_that_answers_is_not_called_stranded():
    assert "STRANDED" not in printed(samples.kelp_recovery())
