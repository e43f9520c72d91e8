"""What proposing a guide costs beside decoding the document, and reading by the guide beside both.

Run from the project's folder: python -m tests.bench.bench_proposing
The best of a few rounds is taken of each; memory is the most that was held at once, measured apart.
"""

import tracemalloc
from collections.abc import Callable
from time import perf_counter
from typing import Any

import orjson

from fleet.snapshots.decoding import ReadError, decode
from fleet.snapshots.fingerprint import layout_fingerprint
from fleet.snapshots.guides import read_with
from fleet.snapshots.proposing import propose
from tests.fleet.snapshots.foreign import truth
from tests.fleet.snapshots.foreign_layouts import LAYOUTS

ROUNDS = 3
OCTETS = 1_000_000
HOLD_SECONDS, HOLD_MEGABYTES = 1.0, 200
SMALL = 100


def of_one_megabyte(write: Callable[[Any], Any]) -> bytes:
    """The layout with so many nodes that the document has about 1 MB, or as many values as the decoder takes."""
    octets_of_small = len(orjson.dumps(write(truth(1, 2 * SMALL)))) - len(
        orjson.dumps(write(truth(1, SMALL)))
    )
    nodes = SMALL * OCTETS // octets_of_small
    while True:
        body = orjson.dumps(write(truth(1, nodes)))
        try:
            decode(body)
        except ReadError:
            nodes = nodes * 3 // 4
        else:
            return body


def hostile() -> dict[str, bytes]:
    """Documents of about 3 MB that are no snapshots, and 1 MB of small lists that look a little like one."""
    small = {
        f"n{at}": {f"d{at}_{row}": {f"{(2 * at + row) * 7919:016x}": {"a": at, "b": at}} for row in range(2)}
        for at in range(10_000)
    }
    return {
        "small": orjson.dumps(small),
        "names": orjson.dumps({f"a{number}": number for number in range(190_000)}),
        "addresses": orjson.dumps([f"{number * 7919:016x}" for number in range(190_000)]),
        "wide": orjson.dumps({f"c{at}": [f"{at * row:016x}" for row in range(600)] for at in range(150)}),
    }


def seconds(call: Callable[[], object]) -> float:
    """The best of a few rounds."""
    best = float("inf")
    for _ in range(ROUNDS):
        start = perf_counter()
        call()
        best = min(best, perf_counter() - start)
    return best


def megabytes(call: Callable[[], object]) -> float:
    """The most that was held at once."""
    tracemalloc.start()
    call()
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak / 1e6


def measure(name: str, body: bytes) -> tuple[float, float]:
    """Print one line for a document; gives the seconds of proposing and its memory."""
    document = decode(body)
    decoding, proposing = seconds(lambda: decode(body)), seconds(lambda: propose(document))
    marking = seconds(lambda: layout_fingerprint(document))
    memory = megabytes(lambda: propose(document))
    proposal = propose(document)
    reading = seconds(lambda: read_with(proposal.guide(name), document)) if proposal.is_complete else 0.0
    print(
        f"{name:12}{len(body) / 1e6:7.2f} MB{decoding * 1e3:9.1f} ms{proposing * 1e3:9.1f} ms"
        f"{proposing / decoding:8.1f}x{marking * 1e3:9.1f} ms{reading * 1e3:9.1f} ms{memory:8.1f} MB"
    )
    return proposing, memory


def main() -> None:
    """Every layout at 1 MB, then documents that are none."""
    print(f"{'':12}{'size':>10}{'decode':>12}{'propose':>12}{'ratio':>9}{'mark':>12}{'read':>12}{'held':>11}")
    bodies = {layout.name: of_one_megabyte(layout.write) for layout in LAYOUTS} | hostile()
    found = [measure(name, body) for name, body in bodies.items()]
    slowest, most = max(each[0] for each in found), max(each[1] for each in found)
    print(
        f"slowest {slowest:.2f} s (hold {HOLD_SECONDS} s), most held {most:.0f} MB (hold {HOLD_MEGABYTES} MB)"
    )


if __name__ == "__main__":
    main()
