"""The clock of an agreement that ends (trade rule C22)."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.planning.leaving import LeavingFacts, Step, StepState, due_on, steps_of

END = date(2027, 4, 4)


def leaving(**changed) -> LeavingFacts:
    return LeavingFacts(**{"ends_on": END, "notice_days": 30, "country": "GB", "done": {}, **changed})


def state(step: Step, facts: LeavingFacts, today: date) -> StepState:
    return next(each.state for each in steps_of(facts, today) if each.step is step)


def test_there_are_twelve_steps_in_order_of_their_days():
    steps = steps_of(leaving(), END)

    assert len(steps) == 12
    assert [each.due_on for each in steps] == sorted(each.due_on for each in steps)


@pytest.mark.parametrize(
    ("step", "day"),
    [
        # 60, 30 and 0 days before, 30 after: trade rule C22. 3 February 2027 is a Wednesday, 5 March a Friday.
        (Step.OFFER, date(2027, 2, 3)),
        (Step.PACK, date(2027, 3, 5)),
        (Step.ACCESS, END),
        (Step.ERASE, date(2027, 5, 4)),
    ],
)
def test_the_days_count_from_the_last_day_of_the_agreement(step, day):
    assert due_on(step, leaving()) == day


@pytest.mark.parametrize(
    ("country", "ends_on", "notice_days", "day"),
    [
        # Good Friday of 2027 is 26 March (a bank holiday in Great Britain), so Thursday.
        ("GB", date(2027, 4, 25), 30, date(2027, 3, 25)),
        # Friday and Saturday are free in Jordan: Saturday 6 March 2027 goes back to Thursday.
        ("JO", date(2027, 4, 5), 30, date(2027, 3, 4)),
        ("NO", date(2027, 4, 5), 30, date(2027, 3, 5)),
    ],
)
def test_notice_falls_on_the_working_day_before_at_the_home(country, ends_on, notice_days, day):
    facts = leaving(country=country, ends_on=ends_on, notice_days=notice_days)

    assert due_on(Step.NOTICE, facts) == day


def test_the_offer_comes_before_a_long_notice_closes():
    facts = leaving(notice_days=90)

    assert due_on(Step.OFFER, facts) <= due_on(Step.NOTICE, facts) - timedelta(days=14)


def test_a_step_is_due_from_its_day_and_late_a_week_after():
    day = due_on(Step.PACK, leaving())

    states = [state(Step.PACK, leaving(), day + timedelta(days=late)) for late in (-1, 0, 7, 8)]

    assert states == [StepState.COMING, StepState.DUE, StepState.DUE, StepState.LATE]


def test_an_open_bill_never_holds_the_pack():
    day = due_on(Step.PACK, leaving())

    assert state(Step.PACK, leaving(bill_open=True), day) is StepState.DUE


def test_a_hold_stops_the_erasing_and_says_why():
    held = leaving(hold="claim of 3 March")

    last = next(each for each in steps_of(held, END + timedelta(days=40)) if each.step is Step.ERASE)

    assert (last.state, last.remark) == (StepState.HELD, "Held: claim of 3 March")


def test_an_agreement_that_is_renewed_asks_for_no_hand_back():
    states = {each.step: each.state for each in steps_of(leaving(renewed=True), END)}

    assert states[Step.PACK] is StepState.NOT_NEEDED
    assert states[Step.ERASE] is StepState.NOT_NEEDED


@given(
    ends_on=st.dates(date(2024, 1, 1), date(2035, 12, 31)),
    notice_days=st.integers(0, 365),
    country=st.sampled_from(["GB", "JO", "JP", "NO", "PT", "AQ", "XK"]),
)
def test_nothing_is_erased_before_the_pack_was_due(ends_on, notice_days, country):
    facts = leaving(ends_on=ends_on, notice_days=notice_days, country=country)

    assert due_on(Step.OFFER, facts) < due_on(Step.PACK, facts) < due_on(Step.ERASE, facts)
