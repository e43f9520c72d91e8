"""Last days of warranties against the European rule on periods of months (recalled)."""

from datetime import date

import pytest

from fleet.planning.warranty import ClaimState, claim_of, last_day

RULE = "regulation-1182-71-article-3-2-c"
CASES = [
    ((2024, 2, 29), 12, (2025, 2, 28)),
    ((2024, 2, 29), 24, (2026, 2, 28)),
    ((2024, 2, 29), 48, (2028, 2, 29)),
    ((2023, 2, 28), 12, (2024, 2, 28)),
    ((2023, 3, 1), 12, (2024, 3, 1)),
    ((2023, 1, 31), 1, (2023, 2, 28)),
    ((2024, 1, 31), 1, (2024, 2, 29)),
    ((2024, 1, 30), 13, (2025, 2, 28)),
    ((2024, 8, 31), 6, (2025, 2, 28)),
    ((2025, 5, 31), 1, (2025, 6, 30)),
    ((2025, 12, 31), 24, (2027, 12, 31)),
    ((1999, 2, 28), 12, (2000, 2, 28)),
]
ROWS = [
    pytest.param(date(*bought), months, date(*last), id=f"{RULE}-{date(*bought)}-{months}")
    for bought, months, last in CASES
]


@pytest.mark.parametrize(("bought", "months", "last"), ROWS)
def test_a_warranty_ends_with_the_day_of_the_same_date_or_the_months_last(bought, months, last):
    assert last_day(bought, months) == last


@pytest.mark.parametrize(("bought", "months", "last"), ROWS)
def test_a_claim_is_due_on_the_last_day_and_late_on_the_next(bought, months, last):
    on_the_day = claim_of(bought, bought, months, None, last)
    day_after = claim_of(bought, bought, months, None, date.fromordinal(last.toordinal() + 1))

    assert (on_the_day.state, day_after.state) == (ClaimState.DUE, ClaimState.LATE)
    assert "today is the last day" in on_the_day.because
