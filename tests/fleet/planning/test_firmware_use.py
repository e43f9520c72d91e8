"""May a build go into homes?"""

import pytest

from fleet.planning.capabilities import FirmwareState
from fleet.planning.firmware_use import may_go_into_homes
from fleet.planning.rings import RingKind

S = FirmwareState
CASES = [
    (S.SEEN, None, False, False, "No: it was only seen"),
    (S.TRIAL, None, False, False, "No: it is on trial"),
    (S.TRIAL, RingKind.BENCH, False, False, "Not yet: its passage is at its ring on the bench."),
    (S.TRIAL, RingKind.FEW, False, True, "Only into a few homes that were drawn"),
    (S.TRIAL, RingKind.FEW, True, False, "No: its passage is stopped."),
    (S.ALLOWED, None, False, True, "Yes: it is allowed."),
    (S.ALLOWED, RingKind.OWN, False, False, "Not yet"),
    (S.PREFERRED, RingKind.REST, False, True, "Only into the homes of the last ring"),
    (S.HOLD, RingKind.FEW, False, False, "No: it is on hold. Late locks."),
    (S.BARRED, None, False, False, "No: it is barred. Late locks."),
]


@pytest.mark.parametrize(
    ("state", "ring", "stopped", "may", "told"),
    CASES,
    ids=[f"{c[0]}-{c[1]}-{'stopped' if c[2] else 'open'}" for c in CASES],
)
def test_the_answer_follows_policy_and_ring(state, ring, stopped, may, told):
    answer = may_go_into_homes(state, "Late locks.", ring, stopped)

    assert answer.may is may
    assert answer.because.startswith(told)
