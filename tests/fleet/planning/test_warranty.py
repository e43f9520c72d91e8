"""What can be done about a radio that failed (last days: tests/outside/test_warranty.py)."""

from datetime import date

import pytest

from fleet.planning.warranty import ClaimState, WarrantyError, claim_of, last_day

BOUGHT, TODAY = date(2026, 1, 15), date(2027, 3, 26)


def test_a_claim_says_by_when_and_how_long_that_is():
    claim = claim_of(date(2027, 3, 1), BOUGHT, 24, None, TODAY)

    assert (claim.state, claim.last_day) == (ClaimState.DUE, date(2028, 1, 15))
    assert claim.because == "Claim it by 2028-01-15: 295 days left."


@pytest.mark.parametrize(
    ("failed", "bought", "months", "claimed", "state"),
    [
        pytest.param(date(2028, 1, 15), BOUGHT, 24, None, ClaimState.DUE, id="on the last day"),
        pytest.param(date(2028, 1, 16), BOUGHT, 24, None, ClaimState.NOT_COVERED, id="a day after it"),
        pytest.param(date(2027, 1, 1), BOUGHT, 12, None, ClaimState.LATE, id="nobody claimed in time"),
        pytest.param(date(2027, 1, 1), BOUGHT, 24, date(2027, 2, 1), ClaimState.CLAIMED, id="claimed"),
        pytest.param(date(2027, 1, 1), None, 24, None, ClaimState.UNKNOWN, id="nobody knows when bought"),
        pytest.param(date(2027, 1, 1), BOUGHT, None, None, ClaimState.UNKNOWN, id="no warranty entered"),
        pytest.param(date(2026, 1, 16), BOUGHT, 0, None, ClaimState.NOT_COVERED, id="no warranty at all"),
    ],
)
def test_a_claim_is_judged_by_its_days(failed, bought, months, claimed, state):
    assert claim_of(failed, bought, months, claimed, TODAY).state is state


def test_months_below_nothing_are_refused():
    with pytest.raises(WarrantyError, match="warranty_months: -1; right is 0 or more"):
        last_day(BOUGHT, -1)
