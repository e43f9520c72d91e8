"""Seeded defects are all named; good documents are left in peace; no finding shows a key."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from fleet.snapshots import own_layout
from fleet.snapshots.checking import Code, Context, Severity, check, is_sound, worst
from fleet.snapshots.facts import NodeFacts, Role, SnapshotFacts
from fleet.snapshots.finding_rules import RULES
from fleet.snapshots.history_checks import Before
from tests.fleet.snapshots import making

STOP, DOUBT, NOTE = Severity.STOP, Severity.DOUBT, Severity.NOTE
MARK = b"m" * 32
GOOD = own_layout.read(making.document(seed=7, nodes=20))
HEAD = GOOD.head_address
ADDRESSES = [node.extended_address for node in GOOD.nodes]


def reversed_octets(address: str) -> str:
    return "".join(address[at : at + 2] for at in range(14, -1, -2))


def before(facts: SnapshotFacts = GOOD, days: float = 1, **given: object) -> Before:
    """A sound copy of the same mesh, taken so many days before, 50,000 frames a day ago."""
    usual = Before(
        taken_at=making.TAKEN - timedelta(days=days),
        outgoing_counter=facts.outgoing_counter - int(50_000 * days),
        key_sequence=facts.key_sequence,
        key_mark=MARK,
        addresses=frozenset(node.extended_address for node in facts.nodes),
    )
    return replace(usual, **given)


def known(**given: object) -> Context:
    """The register and history of the good mesh."""
    usual = Context(
        received_at=making.TAKEN + timedelta(minutes=1),
        head_address=GOOD.head_address,
        extended_pan_id=GOOD.extended_pan_id,
        key_mark=MARK,
        key_used_elsewhere=False,
        before=before(),
    )
    return replace(usual, **given)


def with_node(place: int, **changes: object) -> SnapshotFacts:
    nodes = list(GOOD.nodes)
    nodes[place] = replace(nodes[place], **changes)
    return replace(GOOD, nodes=tuple(nodes))


def turned() -> SnapshotFacts:
    """Every address with its octets in the other order."""
    return replace(
        GOOD,
        head_address=reversed_octets(GOOD.head_address),
        extended_pan_id=reversed_octets(GOOD.extended_pan_id),
        nodes=tuple(
            replace(node, extended_address=reversed_octets(node.extended_address), parent=None)
            for node in GOOD.nodes
        ),
    )


def key(text: str) -> bytes:
    return bytes.fromhex(text)


END_DEVICE = next(node.extended_address for node in GOOD.nodes if node.role is Role.END_DEVICE)
OTHERS = tuple(NodeFacts(f"02B0F1EE0000{n:04X}", short_address=n + 1, role=Role.ROUTER) for n in range(9))

# Facts, context, what must be found (code, severity, path), in the order of trade rule C5.
DEFECTS: list[tuple[SnapshotFacts, Context, Code, Severity, str]] = [
    (replace(GOOD, head_short_address=1), known(), Code.HEAD_SHORT_WRONG, STOP, "$.identity.headShort"),
    (
        replace(GOOD, head_address="0" * 16),
        Context(),
        Code.HEAD_ADDRESS_UNUSABLE,
        STOP,
        "$.identity.headAddress",
    ),
    (
        replace(GOOD, extended_pan_id="F" * 16),
        Context(),
        Code.EXTENDED_PAN_ID_UNUSABLE,
        STOP,
        "$.identity.extendedPanId",
    ),
    (replace(GOOD, pan_id=0xFFFF), known(), Code.PAN_ID_UNUSABLE, STOP, "$.identity.panId"),
    (replace(GOOD, pan_id=0), known(), Code.PAN_ID_ZERO, DOUBT, "$.identity.panId"),
    (replace(GOOD, channel=10), known(), Code.CHANNEL_OUTSIDE_BAND, STOP, "$.air.channel"),
    (replace(GOOD, channel=27), known(), Code.CHANNEL_OUTSIDE_BAND, STOP, "$.air.channel"),
    (
        replace(GOOD, channel=16, channel_mask=0x02108800),
        known(),
        Code.CHANNEL_NOT_IN_MASK,
        DOUBT,
        "$.air.mask",
    ),
    (replace(GOOD, security_level=0), known(), Code.SECURITY_LEVEL_UNUSUAL, DOUBT, "$.security.level"),
    (
        replace(GOOD, network_key=bytes(16)),
        known(),
        Code.KEY_NOT_A_KEY,
        STOP,
        "$.security.networkKey",
    ),
    (
        replace(GOOD, network_key=bytes(range(16))),
        known(),
        Code.KEY_WEAK,
        DOUBT,
        "$.security.networkKey",
    ),
    (
        replace(GOOD, network_key=key("5A6967426565416C6C69616E63653039")),
        known(),
        Code.KEY_PUBLIC,
        DOUBT,
        "$.security.networkKey",
    ),
    (GOOD, known(key_used_elsewhere=True), Code.KEY_SHARED, DOUBT, "$.security.networkKey"),
    (GOOD, known(key_used_elsewhere=lambda: True), Code.KEY_SHARED, DOUBT, "$.security.networkKey"),
    (
        with_node(4, link_key=GOOD.network_key),
        known(),
        Code.LINK_KEY_IS_NETWORK_KEY,
        DOUBT,
        "$.nodes[4].link.key",
    ),
    (
        replace(GOOD, key_sequence=256),
        Context(),
        Code.KEY_SEQUENCE_OUT_OF_RANGE,
        STOP,
        "$.security.keySequence",
    ),
    (
        replace(GOOD, outgoing_counter=0xFFFFFFFF),
        Context(),
        Code.COUNTER_SPENT,
        STOP,
        "$.security.outgoingCounter",
    ),
    (replace(GOOD, outgoing_counter=-5), Context(), Code.COUNTER_SPENT, STOP, "$.security.outgoingCounter"),
    (
        replace(GOOD, outgoing_counter=2**31),
        Context(),
        Code.COUNTER_PAST_HALF,
        DOUBT,
        "$.security.outgoingCounter",
    ),
    (replace(GOOD, outgoing_counter=0), Context(), Code.COUNTER_ZERO, DOUBT, "$.security.outgoingCounter"),
    (replace(GOOD, nodes=()), Context(), Code.NO_NODES, STOP, "$.nodes"),
    (
        with_node(3, extended_address="F" * 16),
        known(),
        Code.NODE_ADDRESS_UNUSABLE,
        STOP,
        "$.nodes[3].address",
    ),
    (
        with_node(9, extended_address=ADDRESSES[2]),
        known(),
        Code.NODE_ADDRESS_TWICE,
        STOP,
        "$.nodes[9].address",
    ),
    (with_node(6, extended_address=HEAD), known(), Code.HEAD_AMONG_NODES, DOUBT, "$.nodes[6].address"),
    (
        with_node(8, short_address=GOOD.nodes[1].short_address),
        known(),
        Code.SHORT_TWICE,
        DOUBT,
        "$.nodes[8].short",
    ),
    (with_node(5, short_address=0xFFF8), known(), Code.SHORT_RESERVED, DOUBT, "$.nodes[5].short"),
    (with_node(5, short_address=0xFFFF), known(), Code.SHORT_RESERVED, DOUBT, "$.nodes[5].short"),
    (with_node(5, short_address=0), known(), Code.SHORT_RESERVED, DOUBT, "$.nodes[5].short"),
    (with_node(5, short_address=None), known(), Code.SHORT_MISSING, NOTE, "$.nodes[5].short"),
    (with_node(5, short_address=0xFFFE), known(), Code.SHORT_MISSING, NOTE, "$.nodes[5].short"),
    (with_node(2, parent="02A4C138DEADBEEF"), known(), Code.PARENT_UNKNOWN, NOTE, "$.nodes[2].parent"),
    (with_node(2, parent=END_DEVICE), known(), Code.PARENT_CANNOT_ROUTE, DOUBT, "$.nodes[2].parent"),
    (replace(GOOD, taken_at=None), known(), Code.TIME_MISSING, DOUBT, "$.taken"),
    (
        replace(GOOD, taken_at=datetime(1970, 1, 1, 0, 3, tzinfo=UTC)),
        Context(),
        Code.TAKEN_BEFORE_2015,
        DOUBT,
        "$.taken",
    ),
    (
        GOOD,
        known(received_at=making.TAKEN - timedelta(minutes=5, seconds=1)),
        Code.TAKEN_IN_FUTURE,
        DOUBT,
        "$.taken",
    ),
    (
        with_node(7, last_heard=making.TAKEN + timedelta(hours=1)),
        known(),
        Code.HEARD_AFTER_TAKEN,
        NOTE,
        "$.nodes[7].lastHeard",
    ),
    (
        replace(GOOD, head_address="02A4C13800000009", extended_pan_id="02D1CE0000000009"),
        known(),
        Code.WRONG_HOME,
        STOP,
        "$.identity.headAddress",
    ),
    (
        replace(GOOD, head_address="02A4C13800000009"),
        known(),
        Code.OTHER_HEAD,
        STOP,
        "$.identity.headAddress",
    ),
    (
        replace(GOOD, extended_pan_id="02D1CE0000000009"),
        known(),
        Code.MESH_REFORMED,
        STOP,
        "$.identity.extendedPanId",
    ),
    (turned(), known(), Code.ADDRESSES_REVERSED, STOP, "$.identity.headAddress"),
    (
        turned(),
        known(head_address=None, extended_pan_id=None),
        Code.ADDRESSES_REVERSED,
        STOP,
        "$.nodes[0].address",
    ),
    (GOOD, known(before=before(days=-1)), Code.OLDER_THAN_BEFORE, NOTE, "$.taken"),
    (
        GOOD,
        known(before=before(key_mark=b"o" * 32)),
        Code.KEY_EPOCH_CHANGED,
        NOTE,
        "$.security.keySequence",
    ),
    (
        replace(GOOD, key_sequence=4),
        known(before=before(key_sequence=5)),
        Code.KEY_EPOCH_BEHIND,
        DOUBT,
        "$.security.keySequence",
    ),
    (
        GOOD,
        known(before=before(outgoing_counter=GOOD.outgoing_counter + 1)),
        Code.COUNTER_FELL,
        STOP,
        "$.security.outgoingCounter",
    ),
    (
        GOOD,
        known(before=before(outgoing_counter=GOOD.outgoing_counter - 17_345_537)),
        Code.COUNTER_JUMPED,
        DOUBT,
        "$.security.outgoingCounter",
    ),
    (
        GOOD,
        known(before=before(outgoing_counter=GOOD.outgoing_counter)),
        Code.COUNTER_STOOD_STILL,
        DOUBT,
        "$.security.outgoingCounter",
    ),
    (replace(GOOD, nodes=GOOD.nodes[:15]), known(), Code.LIST_SHRUNK, STOP, "$.nodes"),
    (replace(GOOD, nodes=GOOD.nodes + OTHERS), known(), Code.LIST_CHANGED, DOUBT, "$.nodes"),
]
IDS = [f"{number} {code}" for number, (_, _, code, _, _) in enumerate(DEFECTS)]


@pytest.mark.parametrize(("facts", "context", "code", "severity", "path"), DEFECTS, ids=IDS)
def test_each_seeded_defect_is_named(
    facts: SnapshotFacts, context: Context, code: Code, severity: Severity, path: str
):
    assert (code, severity, path) in [
        (found.code, found.severity, found.path) for found in check(facts, context)
    ]


def test_every_code_is_seeded_and_has_its_rule():
    assert {code for _, _, code, _, _ in DEFECTS} == set(Code) == set(RULES)


@pytest.mark.parametrize(("facts", "context", "code", "severity", "path"), DEFECTS, ids=IDS)
def test_no_finding_shows_a_key(
    facts: SnapshotFacts, context: Context, code: Code, severity: Severity, path: str
):
    keys = [facts.network_key, *(node.link_key for node in facts.nodes if node.link_key)]
    told = repr(check(facts, context)).lower().replace(" ", "")
    assert not [secret for secret in keys if secret.hex() in told or repr(secret).lower() in told]


@pytest.mark.parametrize("seed", range(100))
def test_a_good_document_with_a_good_history_raises_neither_stop_nor_doubt(seed: int):
    first = own_layout.read(making.document(seed, nodes=5 + seed % 60))
    later = own_layout.read(making.next_day(making.document(seed, nodes=5 + seed % 60), seed))
    context = Context(
        received_at=later.taken_at,
        head_address=first.head_address,
        extended_pan_id=first.extended_pan_id,
        key_mark=MARK,
        key_used_elsewhere=False,
        before=before(first, days=0, outgoing_counter=first.outgoing_counter),
    )
    assert worst(check(later, context)) in (None, NOTE)


def test_without_context_only_the_document_is_judged():
    assert check(GOOD) == ()


def test_a_defect_alone_is_found_alone():
    assert [found.code for found in check(replace(GOOD, pan_id=0), known())] == [Code.PAN_ID_ZERO]


def test_the_gravest_finding_stands_first():
    facts = replace(
        GOOD, pan_id=0, channel=27, nodes=(*GOOD.nodes[:19], replace(GOOD.nodes[19], short_address=None))
    )
    assert [found.severity for found in check(facts)] == [STOP, DOUBT, NOTE]


def test_a_stop_makes_a_copy_unsound():
    assert not is_sound(check(replace(GOOD, channel=27)))


def test_a_doubt_leaves_a_copy_sound():
    assert is_sound(check(replace(GOOD, pan_id=0)))


def test_a_finding_states_value_and_what_would_be_right():
    (found,) = check(replace(GOOD, channel=27))
    assert (found.value, found.expected) == ("27", "11 to 26")


@pytest.mark.parametrize(
    ("shorts", "value"),
    [
        ([0xFFF8, 0xFFF9, 0xFFFA], "0xFFF8, 0xFFF9, 0xFFFA"),
        ([0xFFF8, 0xFFF9, 0xFFFA, 0xFFFB, 0xFFFC], "0xFFF8, 0xFFF9, 0xFFFA and 2 more"),
    ],
)
def test_a_finding_on_many_names_three(shorts: list[int], value: str):
    wrong = tuple(replace(node, short_address=short) for node, short in zip(GOOD.nodes, shorts, strict=False))
    (found,) = check(replace(GOOD, nodes=wrong + GOOD.nodes[len(wrong) :]))
    assert found.value == value


def test_another_page_is_not_judged_by_the_2_4_ghz_band():
    assert check(replace(GOOD, channel_page=28, channel=3)) == ()


def test_the_wrong_home_is_not_compared_with_this_ones_history():
    other = own_layout.read(making.document(seed=8, nodes=20))
    assert [found.code for found in check(other, known())] == [Code.WRONG_HOME]
