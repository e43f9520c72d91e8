"""The worst documents of the largest size, pushed to a running server, against reading the same octets as JSON.

Run from the project's folder: python -m tests.bench.bench_largest
Makes a book of its own on SQLite and takes it away again. Processor time of the server's processes, the least of some
turns; the floor is Python's own json in this process, in the same turns.
"""

import json
import tempfile
import time
from contextlib import suppress
from pathlib import Path

from fleet.snapshots.decoding import MAX_BYTES
from tests.faults.book import made
from tests.faults.serving import served
from tests.faults.test_largest_documents import WORST

TURNS, HOLD_SECONDS = 5, 1.0


def floor(body: bytes) -> float:
    """Seconds of processor time for reading the octets, or for finding that they cannot be read."""
    began = time.process_time()
    with suppress(ValueError):
        json.loads(body)
    return time.process_time() - began


def main() -> None:
    """Each document in turn, its seconds and how many times the floor that is; SystemExit where one takes too long."""
    slow = []
    with tempfile.TemporaryDirectory() as folder:
        book = made(Path(folder))
        with served(book, "gunicorn", SPAREBOOK_INTAKE_LIMIT=str(MAX_BYTES)) as server:
            for name, body in WORST.items():
                took, read = [], []
                for _ in range(TURNS):
                    worked = server.worked_seconds()
                    server.push(body)
                    took.append(server.worked_seconds() - worked)
                    read.append(floor(body))
                least, base = min(took), max(min(read), 1e-4)
                print(
                    f"  {name}: {least:.2f} s, {least / base:.1f} times reading it (hold {HOLD_SECONDS:g} s)"
                )
                if least > HOLD_SECONDS:
                    slow.append(name)
    if slow:
        raise SystemExit("not held")


if __name__ == "__main__":
    main()
