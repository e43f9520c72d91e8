"""What names suggest, for breaking ties between values that fit equally well. Never more than that.

Words are those of IEEE 802.15.4 and the Zigbee specification, and plain English.
"""

import re
from collections.abc import Sequence
from functools import lru_cache

from fleet.snapshots.guide_facts import Fact, NodeFact

_TOKENS = re.compile(r"[A-Z]+(?![a-z])|[A-Z]?[a-z]+|[0-9]+")
_OUTER = 0.4
_SHORTEST_STEM = 4

# Words for and against. A stem of four letters or more may also stand inside a longer word.
_MESH_WORDS: dict[Fact, tuple[str, str]] = {
    Fact.HEAD_ADDRESS: (
        "own self local head coordinator coord ieee eui mac addr address radio trust tc extended long",
        "pan epid xpan panid network net partner last parent",
    ),
    Fact.EXTENDED_PAN_ID: (
        "pan panid epid xpan epan xpanid extpan extended ext network net",
        "ieee eui mac own self address addr coordinator coord trust",
    ),
    Fact.PAN_ID: (
        "pan panid network net",
        "port version profile maker vendor manager short group build limit",
    ),
    Fact.CHANNEL: ("channel chan ch", "mask page count version revision rev level retry max"),
    Fact.CHANNEL_MASK: ("mask channels chans scan", "flags feature"),
    Fact.CHANNEL_PAGE: ("page", ""),
    Fact.NETWORK_KEY: (
        "network net nwk active current key primary",
        "link tc trust old previous prev alternate alt next pending standby seed hash install digest uuid master",
    ),
    Fact.LINK_KEY_SEED: (
        "seed trust tc link hash global master",
        "network nwk net old previous alternate uuid digest",
    ),
    Fact.KEY_SEQUENCE: (
        "sequence seq keyseq epoch number key",
        "update upd level version frame counter sends",
    ),
    Fact.OUTGOING_COUNTER: (
        "frame counter fc outgoing out tx sent counter security network nwk",
        "uptime baud incoming rx received in link tc aps memory free bytes build time since serial seconds",
    ),
    Fact.UPDATE_ID: ("update upd updateid", "key sequence seq level version time updated"),
    Fact.SECURITY_LEVEL: ("level security", "battery power log update sequence"),
    Fact.SECURITY_MODE: ("mode trust security", ""),
    Fact.STACK_PROFILE: ("profile", "update level revision key"),
    Fact.STACK_REVISION: ("revision rev", "profile level update key channel"),
    Fact.POWER_DBM: ("power dbm txpower", "level source"),
    Fact.HEAD_SHORT_ADDRESS: ("short nwk own network address addr", "pan update id sequence seq level key"),
    Fact.TAKEN_AT: (
        "taken captured exported created written saved snapshot date time timestamp stamp at when now",
        "started boot joined formed firmware build updated expires next last_seen heard since",
    ),
    Fact.FIRMWARE: ("firmware fw build version release", "schema format layout writer tool"),
    Fact.WRITER: ("writer tool program generator exporter software source by", "firmware"),
}
_NODE_WORDS: dict[NodeFact, tuple[str, str]] = {
    NodeFact.EXTENDED_ADDRESS: (
        "ieee eui mac extended long address addr",
        "parent partner pan source target destination group",
    ),
    NodeFact.SHORT_ADDRESS: (
        "short nwk network net addr address",
        "parent manufacturer maker profile group cluster",
    ),
    NodeFact.PARENT: ("parent upstream up above", "child best last target next neighbour neighbor"),
    NodeFact.PARENT_SHORT: (
        "parent upstream up above",
        "child best last target next neighbour neighbor",
    ),
    NodeFact.PARENT_MARK: ("parent upstream up above", "child best last target next room zone floor group"),
    NodeFact.LINK_KEY: (
        "link key unique tc aps",
        "install code network nwk net old previous digest hash uuid",
    ),
    NodeFact.OUTGOING_COUNTER: (
        "outgoing out tx sent send ours local transmit",
        "incoming in rx received theirs remote",
    ),
    NodeFact.INCOMING_COUNTER: (
        "incoming in rx received receive theirs remote",
        "outgoing out tx sent ours local",
    ),
    NodeFact.ROLE: ("role type kind logical device", "power key link"),
    NodeFact.POWER: ("power supply source", ""),
    NodeFact.SLEEPS: (
        "sleep sleeps sleepy sleeping asleep idle rx on",
        "battery low lost online reachable available",
    ),
    NodeFact.LAST_HEARD: ("heard seen last contact alive", "joined first created added"),
    NodeFact.LABEL: ("name label title", "maker manufacturer vendor model firmware room area"),
    NodeFact.ROOM: ("room area zone place location floor", "maker manufacturer vendor model name"),
    NodeFact.LONGEST_SILENCE_SECONDS: ("silence timeout interval checkin poll", "age seen"),
    NodeFact.LINK_KEY_KIND: ("kind type key link", ""),
}


# Typed, as a fact of the mesh and one of a node may have the same name and so be equal.
@lru_cache(maxsize=4096, typed=True)
def name_score(fact: Fact | NodeFact, names: Sequence[str]) -> float:
    """How well the names on the way to a value suit the fact: above 0 they do, below 0 they speak against it."""
    pros, cons = _words(fact)
    score = 0.0
    for depth, name in enumerate(reversed(names[-3:])):
        weight = 1.0 if depth == 0 else _OUTER**depth
        tokens = [token.lower() for token in _TOKENS.findall(name[:60])]
        score += weight * (_hits(tokens, pros.split()) - _hits(tokens, cons.split()))
    return round(score, 3)


def _words(fact: Fact | NodeFact) -> tuple[str, str]:
    if isinstance(fact, NodeFact):
        return _NODE_WORDS.get(fact, ("", ""))
    return _MESH_WORDS.get(fact, ("", ""))


def _hits(tokens: list[str], stems: list[str]) -> float:
    joined = "".join(tokens)
    found = {stem for stem in stems if stem in tokens or (len(stem) >= _SHORTEST_STEM and stem in joined)}
    return float(len(found))
