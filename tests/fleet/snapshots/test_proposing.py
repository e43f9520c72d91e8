from pathlib import Path

import fixtures
from fleet.snapshots import own_layout
from fleet.snapshots.decoding import decode
from fleet.snapshots.guides import read_with
from fleet.snapshots.proposing import propose

GOOD = decode((Path(fixtures.__file__).parent / "documents" / "good.json").read_bytes())


def test_a_proposal_reads_the_documents_identity_key_and_nodes():
    truth = own_layout.read(GOOD)

    found = read_with(propose(GOOD).guide("proposed"), GOOD)

    assert (found.head_address, found.extended_pan_id) == (truth.head_address, truth.extended_pan_id)
    assert (found.channel, found.outgoing_counter) == (truth.channel, truth.outgoing_counter)
    assert found.network_key == truth.network_key
    assert {node.extended_address for node in found.nodes} == {node.extended_address for node in truth.nodes}


def test_a_proposal_never_shows_a_key():
    key = own_layout.read(GOOD).network_key.hex()

    assert key not in repr(propose(GOOD)).lower()


def test_a_document_without_nodes_gives_a_proposal_that_says_what_is_missing():
    assert propose({"a": 1}).missing
