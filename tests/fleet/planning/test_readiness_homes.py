"""Whole homes, each with the state, the first gate not passed and the act, all written by hand.

Common practice, no source.
"""

import pytest

from fleet.planning.compatibility import Verdict
from fleet.planning.readiness import GateName, ReadinessFacts, State, assess
from tests.fleet.planning.homes import HOME, SHELF, UNKNOWN, VAN, home, kept, spare

BARE, THIN, COVERED, NOT_KNOWN = State.BARE, State.THIN, State.COVERED, State.UNKNOWN
BY_HAND = State.COVERED_WITH_HANDWORK
NO, PARTLY, CONVERTS, UNTESTED = Verdict.NO, Verdict.PARTLY, Verdict.CONVERTS, Verdict.UNTESTED
S, V, H = "S-1", "V-1", "H-1"
SEND = "Take a snapshot at {} and send it in."

# What somebody would tell of the home; its facts; its state; the first gate not passed; the act that lifts it.
HOMES = [
    (
        "all is well, the spare lies in the house",
        home("KELP-7-A", spare(H, HOME), copy_hours=10, seen_live=True, drilled_days=2),
        COVERED,
        None,
        "",
    ),
    (
        "all is well, the spare lies on a shelf",
        home("KELP-1-A", spare(S, SHELF), copy_hours=10, seen_live=True, drilled_days=30),
        COVERED,
        None,
        "",
    ),
    (
        "all is well, the copy is as old as may be and the drill too",
        home("KELP-2-A", spare(V, VAN), copy_hours=24, seen_live=True, drilled_days=182),
        COVERED,
        None,
        "",
    ),
    (
        "the spare converts, which is no handwork",
        kept("KELP-3-A", spare(S, SHELF, CONVERTS)),
        COVERED,
        None,
        "",
    ),
    (
        "the restore takes just as long as is promised",
        kept("KELP-4-A", spare(S, SHELF, minutes=240)),
        COVERED,
        None,
        "",
    ),
    (
        "no position, but the spare lies in the house",
        kept("KELP-5-A", spare(H, HOME), placed=False),
        COVERED,
        None,
        "",
    ),
    (
        "two spares are useless, the third is good",
        kept("KELP-6-A", spare(S, SHELF, blank=False), spare(V, VAN, NO), spare(H, HOME)),
        COVERED,
        None,
        "",
    ),
    (
        "a near spare leaves handwork, a far one does not",
        kept("KELP-8-A", spare(V, VAN, PARTLY, by_hand=3), spare(S, SHELF)),
        COVERED,
        None,
        "",
    ),
    (
        "four devices must be joined by hand",
        kept("FERN-2-A", spare(S, SHELF, PARTLY, by_hand=4), drilled_days=96),
        BY_HAND,
        GateName.NO_HANDWORK,
        "Plan that handwork, or get a spare for FERN-2-A without it.",
    ),
    (
        "one device must be joined by hand, the spare lies in the house",
        kept("FERN-3-A", spare(H, HOME, PARTLY, by_hand=1)),
        BY_HAND,
        GateName.NO_HANDWORK,
        "Plan that handwork, or get a spare for FERN-3-A without it.",
    ),
    (
        "handwork with the one spare, and the other is untested",
        kept("FERN-4-A", spare(V, VAN, UNTESTED), spare(S, SHELF, PARTLY, by_hand=4)),
        BY_HAND,
        GateName.NO_HANDWORK,
        "Plan that handwork, or get a spare for FERN-4-A without it.",
    ),
    (
        "handwork, and nobody knows how much",
        kept("FERN-5-A", spare(S, SHELF, PARTLY, by_hand=None)),
        NOT_KNOWN,
        GateName.NO_HANDWORK,
        "Judge spare S-1 against the newest snapshot of FERN-5-A.",
    ),
    (
        "the jobs ran nightly and nothing landed for 71 days",
        home("GULL-5-A", spare(S, SHELF), copy_hours=71 * 24, seen_live=True, drilled_days=30),
        THIN,
        GateName.FRESH,
        SEND.format("GULL-5-A"),
    ),
    (
        "the copy is an hour too old",
        home("GULL-6-A", spare(H, HOME), copy_hours=25, seen_live=True, drilled_days=30),
        THIN,
        GateName.FRESH,
        SEND.format("GULL-6-A"),
    ),
    (
        "stale, never seen live and never drilled: the copy comes first",
        home("GULL-7-A", spare(S, SHELF), copy_hours=48, seen_live=False, drilled_days=None),
        THIN,
        GateName.FRESH,
        SEND.format("GULL-7-A"),
    ),
    (
        "a copy of tomorrow",
        home("GULL-8-A", spare(S, SHELF), copy_hours=-24, seen_live=True, drilled_days=30),
        NOT_KNOWN,
        GateName.FRESH,
        "Set the clock of the controller at GULL-8-A, then take a snapshot and send it in.",
    ),
    (
        "fresh, and nobody ever held it against the live mesh",
        home("PINE-1-A", spare(S, SHELF), copy_hours=2, seen_live=False, drilled_days=30),
        THIN,
        GateName.SEEN_LIVE,
        "Compare the newest snapshot of PINE-1-A with the live mesh.",
    ),
    (
        "nobody knows whether it was held against the live mesh",
        home("PINE-2-A", spare(S, SHELF), copy_hours=2, seen_live=None, drilled_days=30),
        NOT_KNOWN,
        GateName.SEEN_LIVE,
        "Compare the newest snapshot of PINE-2-A with the live mesh.",
    ),
    (
        "last drilled 214 days ago, 182 are agreed, firmware on hold besides",
        home("MAPLE-3-A", spare(S, SHELF, UNTESTED), copy_hours=8, seen_live=True, drilled_days=214),
        THIN,
        GateName.DRILL,
        "Hold a drill for MAPLE-3-A.",
    ),
    (
        "drilled a day too long ago",
        home("MAPLE-4-A", spare(H, HOME), copy_hours=8, seen_live=True, drilled_days=183),
        THIN,
        GateName.DRILL,
        "Hold a drill for MAPLE-4-A.",
    ),
    (
        "the drill of last week failed",
        kept("PLUM-4-A", spare(S, SHELF), passed=False),
        THIN,
        GateName.DRILL,
        "Hold a drill for PLUM-4-A.",
    ),
    (
        "never drilled",
        home("PLUM-5-A", spare(S, SHELF), copy_hours=8, seen_live=True, drilled_days=None),
        THIN,
        GateName.DRILL,
        "Hold a drill for PLUM-5-A.",
    ),
    (
        "no interval was agreed",
        kept("PLUM-6-A", spare(S, SHELF), interval=None),
        NOT_KNOWN,
        GateName.DRILL,
        "Enter the drill interval for PLUM-6-A.",
    ),
    (
        "nobody ever tried this pair",
        kept("ROWAN-1-A", spare(S, SHELF, UNTESTED)),
        THIN,
        GateName.TESTED,
        "Try spare S-1 in a drill on the bench.",
    ),
    (
        "of two untested spares the nearer one is to be tried",
        kept("ROWAN-2-A", spare(S, SHELF, UNTESTED), spare(V, VAN, UNTESTED)),
        THIN,
        GateName.TESTED,
        "Try spare V-1 in a drill on the bench.",
    ),
    (
        "the way makes it too slow",
        kept("ROWAN-3-A", spare(S, SHELF, minutes=270)),
        THIN,
        GateName.IN_TIME,
        "Keep spare S-1 nearer to ROWAN-3-A.",
    ),
    (
        "too slow, and no way to shorten",
        kept("ROWAN-4-A", spare(H, HOME, minutes=300)),
        THIN,
        GateName.IN_TIME,
        "Agree a recovery time of 300 minutes or more for ROWAN-4-A.",
    ),
    (
        "nobody knows how long it takes",
        kept("ROWAN-5-A", spare(S, SHELF, minutes=None)),
        NOT_KNOWN,
        GateName.IN_TIME,
        "Enter the way to ROWAN-5-A and its device count.",
    ),
    (
        "there is no spare of this kind anywhere",
        kept("SALT-9-A", model="Cedar C3"),
        BARE,
        GateName.SPARE,
        "Get a spare that fits Cedar C3 for SALT-9-A.",
    ),
    (
        "no spare and everything else bad as well",
        home("SALT-1-A", copy_hours=900, seen_live=False, drilled_days=None),
        BARE,
        GateName.SPARE,
        "Get a spare that fits Alder A2 for SALT-1-A.",
    ),
    (
        "the spare came back from a drill and was never wiped",
        kept("SALT-2-A", spare(S, SHELF, blank=False)),
        BARE,
        GateName.SPARE,
        "Prove that spare S-1 is blank.",
    ),
    (
        "nobody knows whether the spare is blank",
        kept("SALT-3-A", spare(H, HOME, blank=None)),
        BARE,
        GateName.SPARE,
        "Prove that spare H-1 is blank.",
    ),
    (
        "nobody knows the spare's firmware",
        kept("SALT-4-A", spare(V, VAN, firmware=None)),
        BARE,
        GateName.SPARE,
        "Read out the firmware of spare V-1.",
    ),
    (
        "the barred firmware is still in the van, and the radio not blank",
        kept("BIGHT-1-A", spare(V, VAN, firmware="6.8", barred=True, blank=False)),
        BARE,
        GateName.SPARE,
        "Load an allowed firmware onto spare V-1. Prove that spare V-1 is blank.",
    ),
    (
        "the write-once address is used up",
        kept("PLUM-7-A", spare(S, SHELF, NO)),
        BARE,
        GateName.SPARE,
        "Get another spare for PLUM-7-A.",
    ),
    (
        "the spare is six hours away, four are promised",
        kept("SALT-5-A", spare(S, SHELF, way=360)),
        BARE,
        GateName.SPARE,
        "Move spare S-1 nearer to SALT-5-A.",
    ),
    (
        "one spare cannot take over, the other only needs wiping: that is cheaper",
        kept("SALT-6-A", spare(S, SHELF, NO), spare(V, VAN, blank=False)),
        BARE,
        GateName.SPARE,
        "Prove that spare V-1 is blank.",
    ),
    (
        "nobody knows where the spare lies",
        kept("SALT-7-A", spare(S, UNKNOWN)),
        NOT_KNOWN,
        GateName.SPARE,
        "Enter where spare S-1 lies.",
    ),
    (
        "nobody has judged the spare's firmware",
        kept("SALT-8-A", spare(S, SHELF, barred=None)),
        NOT_KNOWN,
        GateName.SPARE,
        "Enter the policy on firmware 6.10.",
    ),
    (
        "no copy ever came in",
        home("CEDAR-1-A", spare(H, HOME), copy_hours=None, seen_live=None, drilled_days=7),
        BARE,
        GateName.SNAPSHOT,
        SEND.format("CEDAR-1-A"),
    ),
    (
        "copies came in, and none is sound",
        home("CEDAR-2-A", spare(H, HOME), copy_hours=None, seen_live=None, drilled_days=7, unsound=12),
        BARE,
        GateName.SNAPSHOT,
        SEND.format("CEDAR-2-A"),
    ),
    (
        "the key was rotated and no copy taken since",
        home("CEDAR-3-A", copy_hours=None, seen_live=None, drilled_days=7, locked=30),
        BARE,
        GateName.SNAPSHOT,
        SEND.format("CEDAR-3-A"),
    ),
    (
        "no agreement: nothing is promised",
        kept("BENCH-0-A", spare(H, HOME), point=None, hours=None, interval=None),
        NOT_KNOWN,
        GateName.BASICS,
        "Enter the promised recovery point and the promised recovery time for BENCH-0-A.",
    ),
    (
        "taken over yesterday: nobody has written the radio down",
        home(
            "NEW-1-A",
            copy_hours=None,
            seen_live=None,
            drilled_days=None,
            radio=None,
            model=None,
            firmware=None,
        ),
        NOT_KNOWN,
        GateName.BASICS,
        "Enter the radio in service, the radio's model and the radio's firmware release for NEW-1-A.",
    ),
    (
        "the spare must travel and nobody knows where the home is",
        kept("NEW-2-A", spare(S, SHELF), placed=False),
        NOT_KNOWN,
        GateName.BASICS,
        "Enter the home's position for NEW-2-A.",
    ),
]


@pytest.mark.parametrize(
    ("facts", "state", "gate", "act"), [row[1:] for row in HOMES], ids=[row[0] for row in HOMES]
)
def test_a_whole_home_has_its_state_its_first_gate_and_its_act(facts, state, gate, act):
    found = assess(facts)
    assert (found.state, found.first_failing, found.act) == (state, gate, act)


def test_the_homes_are_at_least_forty_and_no_two_are_the_same():
    bare = [facts.__class__(**{**_fields(facts), "mesh_code": ""}) for _, facts, *_ in HOMES]
    assert len(HOMES) >= 40
    assert all(one not in bare[:place] for place, one in enumerate(bare))


def test_every_state_and_every_gate_is_among_them():
    assert {state for _, _, state, *_ in HOMES} == set(State)
    assert {gate for _, _, _, gate, _ in HOMES} == {None, *GateName}


def _fields(facts: ReadinessFacts) -> dict[str, object]:
    return {name: getattr(facts, name) for name in facts.__slots__}
