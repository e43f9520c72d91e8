"""Documents of quiet meshes for the push bench: 15 kB each, none like another, nothing in them to be found."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

from fleet.snapshots import own_layout
from fleet.snapshots.facts import SnapshotFacts
from tests.fleet.snapshots import making

NODES = 42
HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Sender:
    """One home's machine: its mesh's code, its token, and the seed its documents grow from."""

    code: str
    token: str
    seed: int


def first_facts(seed: int) -> SnapshotFacts:
    """What the first document of the mesh with this seed says, but for its times."""
    document = making.document(seed, NODES)
    # Half of all draws lie past the middle of the counter space, which is a finding.
    document["security"]["outgoingCounter"] //= 4
    return own_layout.read(document)


def hourly(seed: int, count: int, end: datetime) -> Iterator[bytes]:
    """The mesh read hour by hour, the last time at end: counters rise, times move, all else stays."""
    first = first_facts(seed)
    for hour in range(count):
        taken_at = end.astimezone(UTC) - (count - 1 - hour) * HOUR
        nodes = tuple(
            replace(
                node,
                incoming_counter=(node.incoming_counter or 0) + 31 * hour + hour * place % 7,
                last_heard=taken_at - timedelta(seconds=(977 * hour + 131 * place) % 3600),
            )
            for place, node in enumerate(first.nodes)
        )
        yield own_layout.write(
            replace(
                first, taken_at=taken_at, outgoing_counter=first.outgoing_counter + 3600 * hour, nodes=nodes
            )
        )


def request(sender: Sender, body: bytes) -> bytes:
    """The document as the octets of one HTTP/1.1 request on a connection that stays open."""
    head = (
        f"POST /api/v1/meshes/{sender.code}/snapshots/ HTTP/1.1\r\nHost: 127.0.0.1\r\n"
        f"Authorization: Bearer {sender.token}\r\nContent-Type: application/json\r\n"
        f"User-Agent: bench\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body
