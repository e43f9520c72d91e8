"""The truth table of the gates, and what they say."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from fleet.planning.compatibility import Verdict
from fleet.planning.drills import DrillFacts, DrillKind, judge_drills
from fleet.planning.estimating import ThreePoints
from fleet.planning.freshness import judge_freshness
from fleet.planning.phrases.fit import Fit
from fleet.planning.readiness import (
    GateName,
    GateResult,
    Readiness,
    ReadinessFacts,
    SpareFacts,
    State,
    assess,
)

NOW = datetime(2027, 3, 26, 8, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
LIMIT_HOURS = 76.97  # one join a month: 3.2 days

FRESH = judge_freshness(NOW - 5 * HOUR, NOW, LIMIT_HOURS)
STALE = judge_freshness(NOW - 71 * DAY, NOW, LIMIT_HOURS)
AHEAD = judge_freshness(NOW + 3 * HOUR, NOW, LIMIT_HOURS)
UNDATED = judge_freshness(None, NOW, LIMIT_HOURS)

DRILLED = judge_drills([DrillFacts(DrillKind.BENCH, NOW - 30 * DAY, True)], 182, NOW)
DRILL_DUE = judge_drills([DrillFacts(DrillKind.BENCH, NOW - 170 * DAY, True)], 182, NOW)
OVERDUE = judge_drills([DrillFacts(DrillKind.BENCH, NOW - 214 * DAY, True)], 182, NOW)
FAILED = judge_drills([DrillFacts(DrillKind.LIVE, NOW - 3 * DAY, False)], 182, NOW)
NEVER = judge_drills([], 182, NOW)

GOOD = SpareFacts(
    code="BENCH-S1",
    blank_proven=True,
    firmware="6.10",
    firmware_barred=False,
    verdict=Verdict.CLEAN,
    reach_minutes=30,
    restore_minutes=ThreePoints(50, 99, 180),
    rejoin_count=0,
)
NEVER_TRIED = Fit.TRIED_NEVER.of(source="Alder A2 6.9", target="Alder A2 6.10")
USED_UP = Fit.ADDRESS_ONCE_USED.of(radio="BENCH-S1")
AT_HOME = replace(GOOD, code="HOME-S9", at_home=True, reach_minutes=None)
CONVERTS = replace(GOOD, verdict=Verdict.CONVERTS)
PARTLY = replace(GOOD, verdict=Verdict.PARTLY, rejoin_count=12)
UNTESTED = replace(GOOD, verdict=Verdict.UNTESTED, verdict_why=NEVER_TRIED)
IMPOSSIBLE = replace(GOOD, verdict=Verdict.NO, verdict_why=USED_UP)
NOT_BLANK = replace(GOOD, code="BENCH-S2", blank_proven=False)
BLANK_UNKNOWN = replace(GOOD, code="BENCH-S2", blank_proven=None)
NO_FIRMWARE = replace(GOOD, code="BENCH-S3", firmware=None)
BARRED = replace(GOOD, code="BENCH-S4", firmware_barred=True)
POLICY_UNKNOWN = replace(GOOD, code="BENCH-S4", firmware_barred=None)
FAR = replace(GOOD, code="BENCH-S5", reach_minutes=360)
PLACE_UNKNOWN = replace(GOOD, code="BENCH-S6", reach_minutes=None)
SLOW = replace(GOOD, restore_minutes=ThreePoints(60, 120, 241))
TIME_UNKNOWN = replace(GOOD, restore_minutes=None)

COVERED = ReadinessFacts(
    mesh_code="GULL-5",
    radio="ALDER-7",
    model="Alder A2",
    firmware="6.9",
    promised_point_hours=168,
    promised_time_hours=4,
    position_known=True,
    freshness=FRESH,
    seen_live=True,
    drill=DRILLED,
    spares=(GOOD,),
)

TRUTH_TABLE = [
    # what differs from a covered mesh, the state, the first gate not passed
    ("nothing", {}, State.COVERED, None),
    ("no radio", {"radio": None}, State.UNKNOWN, GateName.BASICS),
    ("no model", {"model": None}, State.UNKNOWN, GateName.BASICS),
    ("no firmware", {"firmware": None}, State.UNKNOWN, GateName.BASICS),
    ("no promised point", {"promised_point_hours": None}, State.UNKNOWN, GateName.BASICS),
    ("no promised time", {"promised_time_hours": None}, State.UNKNOWN, GateName.BASICS),
    ("no position, spare travels", {"position_known": False}, State.UNKNOWN, GateName.BASICS),
    ("no position, spare in the home", {"position_known": False, "spares": (AT_HOME,)}, State.COVERED, None),
    ("no position, no spare", {"position_known": False, "spares": ()}, State.BARE, GateName.SPARE),
    ("no radio and bare", {"radio": None, "freshness": None}, State.UNKNOWN, GateName.BASICS),
    ("no snapshot", {"freshness": None}, State.BARE, GateName.SNAPSHOT),
    ("no snapshot, no spare", {"freshness": None, "spares": ()}, State.BARE, GateName.SNAPSHOT),
    ("no snapshot, not seen live", {"freshness": None, "seen_live": None}, State.BARE, GateName.SNAPSHOT),
    ("only unsound", {"freshness": None, "unsound_snapshots": 3}, State.BARE, GateName.SNAPSHOT),
    ("only locked out", {"freshness": None, "locked_out_snapshots": 1}, State.BARE, GateName.SNAPSHOT),
    ("only another's", {"freshness": None, "other_identity_snapshots": 1}, State.BARE, GateName.SNAPSHOT),
    ("no spare", {"spares": ()}, State.BARE, GateName.SPARE),
    ("no spare and stale", {"spares": (), "freshness": STALE}, State.BARE, GateName.SPARE),
    ("spare not blank", {"spares": (NOT_BLANK,)}, State.BARE, GateName.SPARE),
    ("spare's blankness unknown", {"spares": (BLANK_UNKNOWN,)}, State.BARE, GateName.SPARE),
    ("spare's firmware unknown", {"spares": (NO_FIRMWARE,)}, State.BARE, GateName.SPARE),
    ("spare barred", {"spares": (BARRED,)}, State.BARE, GateName.SPARE),
    ("spare's policy unknown", {"spares": (POLICY_UNKNOWN,)}, State.UNKNOWN, GateName.SPARE),
    ("spare cannot take over", {"spares": (IMPOSSIBLE,)}, State.BARE, GateName.SPARE),
    ("spare 6 h away, promise 4 h", {"spares": (FAR,)}, State.BARE, GateName.SPARE),
    ("spare 6 h away, promise 6 h", {"spares": (FAR,), "promised_time_hours": 6}, State.COVERED, None),
    ("spare's place unknown", {"spares": (PLACE_UNKNOWN,)}, State.UNKNOWN, GateName.SPARE),
    ("place unknown and not blank", {"spares": (PLACE_UNKNOWN, NOT_BLANK)}, State.UNKNOWN, GateName.SPARE),
    ("place unknown but another", {"spares": (PLACE_UNKNOWN, GOOD)}, State.COVERED, None),
    ("four that do not count", {"spares": (NOT_BLANK, NO_FIRMWARE, BARRED, FAR)}, State.BARE, GateName.SPARE),
    ("one of two counts", {"spares": (NOT_BLANK, GOOD)}, State.COVERED, None),
    ("spare in the home", {"spares": (AT_HOME,)}, State.COVERED, None),
    ("converts", {"spares": (CONVERTS,)}, State.COVERED, None),
    ("stale", {"freshness": STALE}, State.THIN, GateName.FRESH),
    ("captured in the future", {"freshness": AHEAD}, State.UNKNOWN, GateName.FRESH),
    ("captured nobody knows when", {"freshness": UNDATED}, State.UNKNOWN, GateName.FRESH),
    ("stale, place unknown", {"freshness": STALE, "spares": (PLACE_UNKNOWN,)}, State.UNKNOWN, GateName.SPARE),
    ("stale, drill interval unknown", {"freshness": STALE, "drill": None}, State.THIN, GateName.FRESH),
    ("never seen live", {"seen_live": False}, State.THIN, GateName.SEEN_LIVE),
    ("seen live unknown", {"seen_live": None}, State.UNKNOWN, GateName.SEEN_LIVE),
    ("drill due", {"drill": DRILL_DUE}, State.COVERED, None),
    ("drill overdue", {"drill": OVERDUE}, State.THIN, GateName.DRILL),
    ("drill failed", {"drill": FAILED}, State.THIN, GateName.DRILL),
    ("never drilled", {"drill": NEVER}, State.THIN, GateName.DRILL),
    ("no drill interval", {"drill": None}, State.UNKNOWN, GateName.DRILL),
    ("untested", {"spares": (UNTESTED,)}, State.THIN, GateName.TESTED),
    ("untested beside clean", {"spares": (UNTESTED, GOOD)}, State.COVERED, None),
    ("too slow", {"spares": (SLOW,)}, State.THIN, GateName.IN_TIME),
    ("time unknown", {"spares": (TIME_UNKNOWN,)}, State.UNKNOWN, GateName.IN_TIME),
    ("slow beside quick", {"spares": (SLOW, replace(GOOD, code="BENCH-S7"))}, State.COVERED, None),
    ("partly", {"spares": (PARTLY,)}, State.COVERED_WITH_HANDWORK, GateName.NO_HANDWORK),
    ("partly and stale", {"spares": (PARTLY,), "freshness": STALE}, State.THIN, GateName.FRESH),
    (
        "partly, list not known",
        {"spares": (replace(PARTLY, rejoin_count=None),)},
        State.UNKNOWN,
        GateName.NO_HANDWORK,
    ),
    ("partly beside clean", {"spares": (PARTLY, replace(GOOD, reach_minutes=90))}, State.COVERED, None),
    (
        "partly beside untested",
        {"spares": (UNTESTED, replace(PARTLY, code="BENCH-S8"))},
        State.COVERED_WITH_HANDWORK,
        GateName.NO_HANDWORK,
    ),
]


def assessed(**changes) -> Readiness:
    return assess(replace(COVERED, **changes))


@pytest.mark.parametrize(
    ("changes", "state", "gate"), [row[1:] for row in TRUTH_TABLE], ids=[row[0] for row in TRUTH_TABLE]
)
def test_the_first_gate_not_passed_decides_the_state(changes, state, gate):
    found = assessed(**changes)
    assert (found.state, found.first_failing) == (state, gate)


@pytest.mark.parametrize("changes", [row[1] for row in TRUTH_TABLE], ids=[row[0] for row in TRUTH_TABLE])
def test_all_nine_gates_stand_in_their_order_with_a_sentence_each(changes):
    gates = assessed(**changes).gates
    assert [gate.name for gate in gates] == list(GateName)
    assert all(gate.reason.endswith(".") for gate in gates)


@pytest.mark.parametrize("changes", [row[1] for row in TRUTH_TABLE], ids=[row[0] for row in TRUTH_TABLE])
def test_a_gate_has_an_act_exactly_where_it_is_not_passed(changes):
    gates = assessed(**changes).gates
    assert all(bool(gate.act) is (gate.result is not GateResult.PASS) for gate in gates)


@pytest.mark.parametrize("changes", [row[1] for row in TRUTH_TABLE], ids=[row[0] for row in TRUTH_TABLE])
def test_nothing_unknown_is_ever_green(changes):
    found = assessed(**changes)
    unknown = any(gate.result is GateResult.UNKNOWN for gate in found.gates)
    assert not (unknown and found.state in (State.COVERED, State.COVERED_WITH_HANDWORK))


SENTENCES = [
    (
        {"firmware": None, "promised_time_hours": None},
        "Not known of GULL-5: the radio's firmware release and the promised recovery time.",
        "Enter the radio's firmware release and the promised recovery time for GULL-5.",
    ),
    (
        {"freshness": None},
        "There is no snapshot of GULL-5.",
        "Take a snapshot at GULL-5 and send it in.",
    ),
    (
        {"freshness": None, "unsound_snapshots": 2, "locked_out_snapshots": 1},
        "No snapshot of GULL-5 can be restored: 2 not sound and 1 locked out by a newer key.",
        "Take a snapshot at GULL-5 and send it in.",
    ),
    (
        {"spares": ()},
        "There is no spare for GULL-5.",
        "Get a spare that fits Alder A2 for GULL-5.",
    ),
    (
        {"spares": (FAR, NOT_BLANK)},
        "No spare counts: spare BENCH-S2 is not proven blank; "
        "spare BENCH-S5 is 6 hours away and the promise is 4 hours.",
        "Prove that spare BENCH-S2 is blank.",
    ),
    (
        {"spares": (replace(NOT_BLANK, firmware=None),)},
        "No spare counts: the firmware of spare BENCH-S2 is not known "
        "and spare BENCH-S2 is not proven blank.",
        "Read out the firmware of spare BENCH-S2. Prove that spare BENCH-S2 is blank.",
    ),
    (
        {"spares": (BARRED,)},
        "No spare counts: firmware 6.10 of spare BENCH-S4 is barred.",
        "Load an allowed firmware onto spare BENCH-S4.",
    ),
    (
        {"spares": (IMPOSSIBLE,)},
        "No spare counts: spare BENCH-S1 cannot take over (The write-once address of BENCH-S1 is used up).",
        "Get another spare for GULL-5.",
    ),
    (
        {"spares": (NOT_BLANK, NO_FIRMWARE, BARRED, FAR)},
        "No spare counts: the firmware of spare BENCH-S3 is not known; spare BENCH-S2 is not proven blank; "
        "firmware 6.10 of spare BENCH-S4 is barred; and 1 more.",
        "Read out the firmware of spare BENCH-S3.",
    ),
    (
        {"spares": (PLACE_UNKNOWN,)},
        "No spare is sure to count: how long spare BENCH-S6 takes to GULL-5 is not known.",
        "Enter where spare BENCH-S6 lies.",
    ),
    (
        {"freshness": STALE},
        "The newest sound snapshot is 71 days old; the limit is 3.2 days.",
        "Take a snapshot at GULL-5 and send it in.",
    ),
    (
        {"freshness": AHEAD},
        "The newest sound snapshot says that it was taken 3 hours from now; "
        "the clock of the machine that took it is doubtful.",
        "Set the clock of the controller at GULL-5, then take a snapshot and send it in.",
    ),
    (
        {"seen_live": False},
        "No snapshot of GULL-5 was ever seen to match the live mesh.",
        "Compare the newest snapshot of GULL-5 with the live mesh.",
    ),
    (
        {"drill": OVERDUE},
        "The last drill was 214 days ago; the limit is 182 days.",
        "Hold a drill for GULL-5.",
    ),
    (
        {"spares": (UNTESTED,)},
        "Spare BENCH-S1 is untested for this mesh: "
        "No drill or swap from Alder A2 6.9 to Alder A2 6.10 was ever tried.",
        "Try spare BENCH-S1 in a drill on the bench.",
    ),
    (
        {"spares": (SLOW,)},
        "A restore with spare BENCH-S1 takes up to 241 minutes; 240 are promised.",
        "Keep spare BENCH-S1 nearer to GULL-5.",
    ),
    (
        {"spares": (replace(AT_HOME, restore_minutes=ThreePoints(60, 120, 240.2)),)},
        "A restore with spare HOME-S9 takes up to 241 minutes; 240 are promised.",
        "Agree a recovery time of 241 minutes or more for GULL-5.",
    ),
    (
        {
            "promised_time_hours": 336,
            "spares": (replace(AT_HOME, restore_minutes=ThreePoints(60, 120, 264.4)),),
        },
        "GULL-5 is covered. A restore with spare HOME-S9 takes up to 4.4 hours; 14 days are promised.",
        "",
    ),
    (
        {
            "promised_time_hours": 24,
            "spares": (replace(AT_HOME, restore_minutes=ThreePoints(60, 120, 7300)),),
        },
        "A restore with spare HOME-S9 takes up to 5.1 days; 24 hours are promised.",
        "Agree a recovery time of 6 days or more for GULL-5.",
    ),
    (
        {"spares": (PARTLY,)},
        "With spare BENCH-S1, 12 devices must be joined again by hand.",
        "Plan that handwork, or get a spare for GULL-5 without it.",
    ),
    ({}, "GULL-5 is covered. A restore with spare BENCH-S1 takes up to 180 minutes; 240 are promised.", ""),
]


@pytest.mark.parametrize(("changes", "reason", "act"), SENTENCES, ids=[row[1][:40] for row in SENTENCES])
def test_the_reason_and_the_act_are_sentences_with_figures(changes, reason, act):
    found = assessed(**changes)
    assert (found.reason, found.act) == (reason, act)


def test_of_spares_that_leave_the_same_state_the_nearest_is_taken():
    near = replace(GOOD, code="VAN-S1", reach_minutes=12)
    assert assessed(spares=(GOOD, near)).spare == "VAN-S1"


def test_a_spare_in_the_home_is_nearer_than_any_other():
    assert assessed(spares=(replace(GOOD, reach_minutes=1), AT_HOME)).spare == "HOME-S9"


def test_a_better_state_outweighs_the_shorter_way():
    near = replace(PARTLY, code="VAN-S1", reach_minutes=1)
    assert assessed(spares=(near, GOOD)).spare == "BENCH-S1"


def test_no_spare_is_named_where_none_counts():
    assert assessed(spares=(NOT_BLANK,)).spare is None


def test_a_list_by_severity_begins_with_the_worst():
    assert sorted(State, key=lambda state: state.severity) == [
        State.BARE,
        State.UNKNOWN,
        State.THIN,
        State.COVERED_WITH_HANDWORK,
        State.COVERED,
    ]


def test_a_state_is_said_in_plain_words():
    assert State.COVERED_WITH_HANDWORK.words == "covered with handwork"
