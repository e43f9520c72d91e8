"""Load for the push bench: processes that each keep one connection open and push as fast as they are answered."""

import multiprocessing
import socket
from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from itertools import cycle, islice
from multiprocessing.connection import Connection
from time import perf_counter

from tests.bench.push_documents import Sender, hourly, request

PATIENCE_SECONDS = 60


@dataclass(frozen=True, slots=True)
class Pushed:
    """How long the pushing took, and each push's latency, all in seconds; nothing in it was refused."""

    seconds: float
    latencies: tuple[float, ...]

    @property
    def rate(self) -> float:
        return len(self.latencies) / self.seconds

    def latency_ms(self, share: float) -> float:
        """The latency that this share of the pushes did not pass."""
        return sorted(self.latencies)[int(share * (len(self.latencies) - 1))] * 1000


class Load:
    """All pushing processes. Each walks through its own documents, side by side, and starts over at the end."""

    def __init__(self, doors: Sequence[Connection]) -> None:
        self._doors = doors

    def push(self, side: str, port: int, most: int, seconds: float) -> Pushed:
        """Push at most so many documents from each process, for at most so long, to this side's port."""
        for door in self._doors:
            door.send((side, port, most, seconds))
        began = perf_counter()
        answers = [_answer(door, seconds + PATIENCE_SECONDS) for door in self._doors]
        return Pushed(perf_counter() - began, tuple(each for answer in answers for each in answer))


@contextmanager
def pushing(senders: Sequence[Sender], documents: int, end: datetime, processes: int) -> Iterator[Load]:
    """Start the processes, each with its share of the senders, and end them with the block."""
    context = multiprocessing.get_context("spawn")
    doors, started = [], []
    try:
        for place in range(processes):
            ours, theirs = context.Pipe()
            share = senders[place::processes]
            process = context.Process(target=_work, args=(theirs, share, documents, end), daemon=True)
            process.start()
            started.append(process)
            doors.append(ours)
        for door in doors:
            _answer(door, PATIENCE_SECONDS)  # its documents are written
        yield Load(doors)
    finally:
        for process in started:
            process.terminate()
            process.join(PATIENCE_SECONDS)


def _answer(door: Connection, seconds: float) -> list[float]:
    if not door.poll(seconds):
        raise SystemExit("a pushing process did not answer in time")
    answer = door.recv()
    if isinstance(answer, str):
        raise SystemExit(answer)
    return answer


def _work(door: Connection, senders: Sequence[Sender], documents: int, end: datetime) -> None:
    # Mesh after mesh, then the next hour of each: a mesh's documents arrive in the order of their times.
    columns = [[request(each, body) for body in hourly(each.seed, documents, end)] for each in senders]
    requests = [row for hour in zip(*columns, strict=True) for row in hour]
    walks: dict[str, Iterator[bytes]] = defaultdict(lambda: cycle(requests))
    door.send([])
    while True:
        side, port, most, seconds = door.recv()
        try:
            door.send(_push(port, islice(walks[side], most), seconds))
        except (OSError, ValueError) as error:
            door.send(f"a push failed: {error}")


def _push(port: int, requests: Iterator[bytes], seconds: float) -> list[float]:
    latencies = []
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_SECONDS) as line:
        line.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        until = perf_counter() + seconds
        for octets in requests:
            start = perf_counter()
            line.sendall(octets)
            _created(line)
            end = perf_counter()
            latencies.append(end - start)
            if end > until:
                break
    return latencies


def _created(line: socket.socket) -> None:
    """Read one whole answer; ValueError for any but 201."""
    octets = line.recv(65536)
    while b"\r\n\r\n" not in octets:
        octets += _more(line)
    head, _, body = octets.partition(b"\r\n\r\n")
    if not head.startswith(b"HTTP/1.1 201 "):
        raise ValueError(octets.decode(errors="replace"))
    _, _, rest = head.lower().partition(b"content-length:")
    missing = int(rest.split(b"\r\n", 1)[0]) - len(body)
    while missing > 0:
        missing -= len(_more(line))


def _more(line: socket.socket) -> bytes:
    octets = line.recv(65536)
    if not octets:
        raise ValueError("the connection was closed in the middle of an answer")
    return octets
