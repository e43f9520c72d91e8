"""A web server of the program as a process of its own, and requests to it octet by octet."""

import os
import socket
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from http.client import HTTPConnection
from pathlib import Path

from tests.faults.book import Book, told
from tests.own_servers import Process, free_port, running, wait_for

PATIENCE_SECONDS = 30
WARM_UP = 6
STARTED_BY = {
    "gunicorn": ("gunicorn", "--workers", "2", "--worker-class", "gthread", "--threads", "4", "--bind"),
    "waitress": ("waitress", "--threads", "8", "--listen"),
}
APPLICATION = {"gunicorn": "fleet.config.wsgi", "waitress": "fleet.config.wsgi:application"}


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back; headers in small letters."""

    status: int
    headers: dict[str, str]
    body: bytes


@dataclass(frozen=True, slots=True)
class Served:
    """A running server with its book, the file that its errors go to, and the octets it held before the test."""

    book: Book
    port: int
    process: Process
    log: Path
    base: int = 0

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def push(self, body: bytes, **headers: str) -> Answer:
        """One push with the mesh's token; a header name has _ for each dash."""
        given = {name.replace("_", "-"): value for name, value in headers.items()}
        return self.ask("POST", self.book.path, body, {"Authorization": f"Bearer {self.book.token}", **given})

    def ask(self, method: str, path: str, body: bytes | None, headers: dict[str, str]) -> Answer:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_SECONDS)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            names = {name.lower(): value for name, value in answer.getheaders()}
            return Answer(answer.status, names, answer.read())
        finally:
            connection.close()

    def send(self, octets: bytes, half_close: bool = False) -> bytes:
        """Octets straight into a socket; whatever comes back until the other side closes or says no more for 3 s."""
        came = b""
        with socket.create_connection(("127.0.0.1", self.port), timeout=PATIENCE_SECONDS) as line:
            line.sendall(octets)
            if half_close:
                line.shutdown(socket.SHUT_WR)
            line.settimeout(3)
            try:
                while part := line.recv(65536):
                    came += part
            except (TimeoutError, ConnectionError):
                pass
        return came

    def grown_by(self) -> int:
        """The most octets that any process of the server ever held, above what all of the program takes by itself."""
        return max(map(_high_water, self._processes())) - self.base

    def worked_seconds(self) -> float:
        """The time that all its processes were at work, which no neighbour on the machine makes longer."""
        return sum(map(_worked, self._processes()))

    def _processes(self) -> list[int]:
        main = self.process.child.pid
        return [main, *map(int, Path(f"/proc/{main}/task/{main}/children").read_text().split())]


@contextmanager
def served(book: Book, kind: str, **given: str) -> Iterator[Served]:
    """The book behind gunicorn or waitress, as the README runs them; given: more for its environment.

    AssertionError at the end where the server's log holds a traceback.
    """
    port, log = free_port(), book.home / f"{kind}.log"
    words = [*STARTED_BY[kind], f"127.0.0.1:{port}", APPLICATION[kind]]
    with running(Process([sys.executable, "-m", *words], told(book.home) | given, log)) as process:
        wait_for(lambda: _listens(port), f"the start of {kind}")
        running_one = Served(book, port, process, log)
        for _ in range(WARM_UP):
            running_one.push(b"{}")  # a worker's first answer takes as long as loading the program
        yield replace(running_one, base=running_one.grown_by())
    assert "Traceback" not in log.read_text(errors="replace")


def _listens(port: int) -> bool:
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1).close()
    except OSError:
        return False
    return True


def _high_water(pid: int) -> int:
    lines = Path(f"/proc/{pid}/status").read_text().splitlines()
    return next(int(line.split()[1]) * 1024 for line in lines if line.startswith("VmHWM"))


def _worked(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
