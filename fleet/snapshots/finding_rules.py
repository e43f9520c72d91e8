"""What each finding says, how grave it is, and why it is just so grave. The one table of severities.

stop where a person must look before this copy may count (trade rules C4 and C5); doubt where the copy would
work but something should be done or known; note where nothing is asked. The judgements of severity are common
practice, no source.
"""

from typing import NamedTuple

from fleet.snapshots.findings import Code, Finding, Severity

STOP, DOUBT, NOTE = Severity.STOP, Severity.DOUBT, Severity.NOTE


class Rule(NamedTuple):
    """message and expected may hold {words} that the check fills in."""

    severity: Severity
    message: str
    expected: str


def finding(code: Code, path: str, value: str = "", **words: object) -> Finding:
    """A finding in the words of its rule. value must be fit to be shown: never a key."""
    severity, message, expected = RULES[code]
    return Finding(code, severity, path, message.format(**words), value, expected.format(**words))


RULES: dict[Code, Rule] = {
    # The document by itself. What was evidently not read out, or names nothing on air, stops.
    Code.HEAD_SHORT_WRONG: Rule(
        STOP, "This was not read from the head radio: a head has short address 0x0000.", "0x0000"
    ),
    Code.HEAD_ADDRESS_UNUSABLE: Rule(STOP, "The head radio's address was not read.", "a 64-bit address"),
    Code.EXTENDED_PAN_ID_UNUSABLE: Rule(
        STOP, "The extended PAN ID is unset or invalid.", "a 64-bit identifier"
    ),
    Code.PAN_ID_UNUSABLE: Rule(STOP, "The PAN ID means that there is no network.", "0x0000 to 0xFFFE"),
    Code.PAN_ID_ZERO: Rule(
        DOUBT, "PAN ID 0x0000 is possible, but mostly a value that was never set.", "0x0001 to 0xFFFE"
    ),
    Code.CHANNEL_OUTSIDE_BAND: Rule(STOP, "There is no such channel at 2.4 GHz.", "11 to 26"),
    Code.CHANNEL_NOT_IN_MASK: Rule(
        DOUBT, "The mask does not hold channel {channel}, on which the mesh is.", "bit {channel} set"
    ),
    Code.SECURITY_LEVEL_UNUSUAL: Rule(
        DOUBT, "Frames of this mesh are not protected in the way Zigbee prescribes.", "5"
    ),
    Code.KEY_NOT_A_KEY: Rule(STOP, "The network key was not read out: {pattern}.", "16 random octets"),
    # A mesh with a guessable key runs, and its copy would bring it back: the key is to be changed.
    Code.KEY_WEAK: Rule(DOUBT, "The network key can be guessed: {pattern}.", "16 random octets"),
    Code.KEY_PUBLIC: Rule(
        DOUBT,
        "The network key is the specification's public default link key, which everybody knows.",
        "16 random octets",
    ),
    Code.KEY_SEQUENCE_OUT_OF_RANGE: Rule(STOP, "The key sequence does not fit one octet.", "0 to 255"),
    Code.LINK_KEY_IS_NETWORK_KEY: Rule(
        DOUBT, "A node's link key is the network key itself.", "a link key of its own"
    ),
    Code.COUNTER_SPENT: Rule(
        STOP, "No frame can be sent with this counter: it is spent or was read wrongly.", "0 to 4294967294"
    ),
    Code.COUNTER_PAST_HALF: Rule(
        DOUBT,
        "More than half of the counter's space is used: change the network key before a swap.",
        "below 2147483648",
    ),
    Code.COUNTER_ZERO: Rule(
        DOUBT, "A head with nodes has sent frames: a counter of 0 was not read.", "above 0"
    ),
    Code.NO_NODES: Rule(STOP, "The list of nodes is empty: it would bring nothing back.", "at least 1 node"),
    Code.NODE_ADDRESS_UNUSABLE: Rule(STOP, "No device has this address.", "a 64-bit address"),
    Code.NODE_ADDRESS_TWICE: Rule(STOP, "Two rows of the list have one address.", "each address once"),
    Code.HEAD_AMONG_NODES: Rule(
        DOUBT, "The head radio stands among its own nodes.", "nodes other than the head"
    ),
    # Short addresses change by themselves, so a wrong one never makes a copy useless.
    Code.SHORT_TWICE: Rule(
        DOUBT,
        "Two nodes have one short address: a row is stale or the mesh has an address conflict.",
        "each short address once",
    ),
    Code.SHORT_RESERVED: Rule(
        DOUBT,
        "No node can have this short address: it is the head's, reserved or a broadcast.",
        "0x0001 to 0xFFF7",
    ),
    Code.SHORT_MISSING: Rule(
        NOTE, "Nodes without a short address; each announces its own when it speaks.", "none"
    ),
    Code.PARENT_UNKNOWN: Rule(
        NOTE,
        "A node's parent is not in the list: the node has moved or the parent has gone.",
        "a listed router",
    ),
    Code.PARENT_CANNOT_ROUTE: Rule(
        DOUBT, "A node's parent is an end device, which cannot have children.", "the head or a listed router"
    ),
    # Without a right time neither age nor counter can be judged, but the copy itself may be good.
    Code.TIME_MISSING: Rule(DOUBT, "It is not stated when the copy was taken.", "a date and time"),
    Code.TAKEN_BEFORE_2015: Rule(
        DOUBT, "The clock that stamped this copy was never set.", "2015-01-01 or later"
    ),
    Code.TAKEN_IN_FUTURE: Rule(
        DOUBT, "The copy was stamped after it arrived: one of the two clocks is wrong.", "at most {limit}"
    ),
    Code.HEARD_AFTER_TAKEN: Rule(
        NOTE, "A node was heard after the copy was taken: two clocks differ.", "at most {limit}"
    ),
    # Against the register. A copy of another mesh must never stand in for this one.
    Code.WRONG_HOME: Rule(
        STOP, "This is another mesh: neither head address nor extended PAN ID are this one's.", "{right}"
    ),
    Code.OTHER_HEAD: Rule(STOP, "The mesh is led by another radio than the register says.", "{right}"),
    Code.MESH_REFORMED: Rule(
        STOP,
        "The head radio has formed a new mesh: its extended PAN ID is not the one in the register, and no"
        " node of the old mesh follows it.",
        "{right}",
    ),
    Code.ADDRESSES_REVERSED: Rule(
        STOP,
        "These are the known addresses with their octets in reverse order, as they run over the air:"
        " the reading is wrong, not the mesh.",
        "{right}",
    ),
    Code.KEY_SHARED: Rule(
        DOUBT, "Another mesh in the book has this network key: change one of them.", "a key of its own"
    ),
    # Against the last sound copy.
    Code.OLDER_THAN_BEFORE: Rule(NOTE, "A newer copy of this mesh is in the book already.", "after {limit}"),
    Code.KEY_EPOCH_CHANGED: Rule(
        NOTE, "The network key has changed: older copies are locked out.", "{right}"
    ),
    Code.KEY_EPOCH_BEHIND: Rule(
        DOUBT,
        "The copy is stamped later than the last one but holds an earlier key sequence: it was not read anew,"
        " or a clock is wrong.",
        "{right} or later",
    ),
    Code.COUNTER_FELL: Rule(
        STOP,
        "The outgoing counter is lower than at an earlier time under the same key: a radio started from an"
        " old number, or this is an old copy with a new date. Nodes ignore the lower numbers.",
        "above {right}",
    ),
    Code.COUNTER_JUMPED: Rule(
        DOUBT,
        "The outgoing counter rose by {rise}, more than a mesh can send in the time: the radio was written"
        " anew, two radios speak, or the number was read wrongly.",
        "at most {right}",
    ),
    Code.COUNTER_STOOD_STILL: Rule(
        DOUBT,
        "The outgoing counter has not moved for {hours} hours: the radio is silent, or an old copy was sent"
        " again with a new date.",
        "above {right}",
    ),
    Code.LIST_SHRUNK: Rule(
        STOP,
        "{vanished} of {known} nodes have vanished at once: the list is cut off, or the mesh has lost them.",
        "at most 20 % fewer",
    ),
    Code.LIST_CHANGED: Rule(
        DOUBT,
        "Less than four fifths of the nodes of both copies are common to them: {vanished} gone, {appeared} new.",
        "a common share of at least 0.80",
    ),
}
