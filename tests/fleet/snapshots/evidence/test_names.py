import pytest

from fleet.snapshots.evidence.names import name_score
from fleet.snapshots.guide_facts import Fact, NodeFact


@pytest.mark.parametrize(
    ("fact", "better", "worse"),
    [
        (Fact.CHANNEL, ("channel",), ("stackRevision",)),
        (Fact.PAN_ID, ("net", "panId"), ("net", "port")),
        (Fact.OUTGOING_COUNTER, ("frame counter",), ("uptime",)),
        (Fact.KEY_SEQUENCE, ("key", "seq"), ("net", "updateId")),
        (Fact.NETWORK_KEY, ("networkKey",), ("tcLinkKey",)),
        (NodeFact.OUTGOING_COUNTER, ("txCounter",), ("rxCounter",)),
        (NodeFact.INCOMING_COUNTER, ("rx_counter",), ("tx_counter",)),
        (NodeFact.EXTENDED_ADDRESS, ("ieee",), ("parent",)),
    ],
)
def test_the_better_name_scores_higher(
    fact: Fact | NodeFact, better: tuple[str, ...], worse: tuple[str, ...]
) -> None:
    assert name_score(fact, better) > max(0.0, name_score(fact, worse))


def test_a_name_without_meaning_scores_nothing() -> None:
    assert name_score(Fact.CHANNEL, ("zorbu", "kimola")) == 0.0


def test_a_mesh_fact_and_a_node_fact_of_the_same_name_are_told_apart() -> None:
    assert name_score(Fact.OUTGOING_COUNTER, ("frame",)) > name_score(NodeFact.OUTGOING_COUNTER, ("frame",))
