"""Expressions that repeat a key: a document may name a member by it."""

import pytest

from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.guides import FieldRule, faults
from fleet.snapshots.proposing import propose
from fleet.snapshots.readings import Reading
from fleet.snapshots.secret_names import names_a_key, show_expression
from tests.fleet.snapshots import guided
from tests.fleet.snapshots.foreign import key_hex, truth
from tests.fleet.snapshots.foreign_layouts import deep

KEY = "4f1c9a3377e2b05d8c66a1f0d2935b7e"


@pytest.mark.parametrize(
    "expression",
    [
        f'safe."{KEY}".sent',
        f'safe."{KEY.upper()}"',
        f'safe."{":".join(KEY[at : at + 2] for at in range(0, 32, 2))}"',
        f"safe[?name=='{KEY}'] | [0].sent",
        "safe.a" + KEY[1:],
        'safe."TxyaM3fisF2MZqHw0pNbfg=="',
        'safe."83FED3407A939723A5C639B26916D505C3B5"',
    ],
)
def test_a_name_that_could_be_a_key_is_seen_and_not_shown(expression):
    assert names_a_key(expression)
    assert KEY not in show_expression(expression).lower()
    assert show_expression(expression).startswith("(hidden)")


@pytest.mark.parametrize(
    "expression",
    [
        "net.pan",
        "extendedPanIdentifiers",
        "networkInformationBase.securityMaterialSet[?isActive] | [0].outgoingFrameCounter",
        'nodes."02a4c10000000011".short',
        'things."0f8fad5b-d9cb-469f-a165-70867728950e".near',
        "values(members) | [0]",
    ],
)
def test_usual_names_are_shown(expression):
    assert show_expression(expression) == expression


def test_a_guide_that_repeats_a_key_is_faulty_and_the_fault_does_not_repeat_it():
    guide = guided.guide(rules=guided.rules(pan_id=FieldRule(f'safe."{KEY}"', Reading.NUMBER)))

    (problem,) = faults(guide)

    assert problem.path == "mesh.pan_id.expression"
    assert KEY not in str(problem)


def test_no_place_below_a_key_is_proposed():
    told = truth(3)
    document = deep(told)
    secret = key_hex(told.network_key)
    document["radio"]["safe"] = {"secret": secret, secret: {"turn": 3, "sent": "1234567"}}

    proposal = propose(document)

    assert secret not in repr(proposal)
    assert Fact.KEY_SEQUENCE in {gap.fact for gap in proposal.missing}
