"""PostgreSQL, Redis and Celery processes of one test or bench alone, so that they may be killed at any moment.

Everything lies in a folder that is given, listens on a free port of this machine, and ends with its block.
"""

import os
import pwd
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path

import psycopg

PATIENCE_SECONDS = 60
ROOT = Path(__file__).resolve().parents[1]


def free_port() -> int:
    """A port that nobody listens on at this moment."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def wait_for(happens: Callable[[], bool], what: str, seconds: float = PATIENCE_SECONDS) -> None:
    """Ask again and again until it is so; AssertionError with what was waited for."""
    until = time.monotonic() + seconds
    while not happens():
        assert time.monotonic() < until, f"{what} did not happen in {seconds:.0f} s"
        time.sleep(0.05)


@dataclass
class Process:
    """A process that is started, killed without a word, and started again."""

    command: list[str]
    env: Mapping[str, str] = field(default_factory=lambda: os.environ)
    log: Path | None = None
    child: subprocess.Popen[bytes] | None = None

    def start(self) -> "Process":
        out = open(self.log, "ab") if self.log else subprocess.DEVNULL  # noqa: SIM115
        # A session of its own, so that its children can be killed with it.
        self.child = subprocess.Popen(
            self.command, env=dict(self.env), cwd=ROOT, stdout=out, stderr=out, start_new_session=True
        )
        return self

    def kill(self) -> None:
        """kill -9 of the whole group, at once."""
        if self.child is not None:
            with suppress(ProcessLookupError):
                os.killpg(self.child.pid, signal.SIGKILL)
            self.child.wait()

    def end(self) -> None:
        """Ask it to end, and kill what does not."""
        if self.child is not None and self.child.poll() is None:
            self.child.terminate()
            with suppress(subprocess.TimeoutExpired):
                self.child.wait(10)
        self.kill()

    def children(self) -> list[int]:
        """The processes that it has started itself."""
        assert self.child is not None
        told = Path(f"/proc/{self.child.pid}/task/{self.child.pid}/children").read_text()
        return [int(pid) for pid in told.split()]


def kill_all(pids: list[int]) -> None:
    """kill -9 of these processes and no others; one that has ended already is left at that."""
    for pid in pids:
        try:
            os.kill(pid, signal.SIGKILL)
        except ProcessLookupError:
            continue


@contextmanager
def running(process: Process) -> Iterator[Process]:
    """Started, and gone with the block."""
    try:
        yield process.start()
    finally:
        process.end()


def redis_in(folder: Path, port: int) -> Process:
    """A Redis that keeps nothing on disk: killed, it forgets every message."""
    command = ["redis-server", "--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no"]
    return Process([*command, "--dir", str(folder)])


def redis_answers(port: int) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=1) as line:
            line.sendall(b"PING\r\n")
            return line.recv(7) == b"+PONG\r\n"
    except OSError:
        return False


class Cluster:
    """A PostgreSQL cluster of its own; root hands it to the user postgres, as the server refuses to run as root."""

    def __init__(self, folder: Path, port: int) -> None:
        self.folder, self.port = folder, port
        self.data = folder / "data"
        self.bin = _newest_postgresql()
        self.process: Process | None = None

    @property
    def address(self) -> str:
        return f"postgresql://postgres@127.0.0.1:{self.port}"

    def make(self) -> None:
        """An empty cluster that trusts whoever connects from this machine."""
        if os.geteuid() == 0:
            shutil.chown(self.folder, "postgres")
        made = ["initdb", "-D", str(self.data), "-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync"]
        subprocess.run(self._as_owner(made), check=True, capture_output=True)

    def start(self) -> None:
        """Begin to listen; after a kill this begins with recovery."""
        told = [
            "postgres",
            "-D",
            str(self.data),
            "-p",
            str(self.port),
            "-h",
            "127.0.0.1",
            "-k",
            str(self.folder),
        ]
        process = self.process = Process(self._as_owner(told), log=self.folder / "log").start()

        def answers() -> bool:
            # It refuses to start while a backend of the one before is still ending: then try again.
            if process.child is not None and process.child.poll() is not None:
                process.start()
            return self.answers()

        wait_for(answers, "PostgreSQL's start")

    def answers(self) -> bool:
        try:
            with psycopg.connect(f"{self.address}/postgres", connect_timeout=2) as line:
                line.execute("SELECT 1")
        except psycopg.Error:
            return False
        return True

    def kill(self) -> None:
        """kill -9 of the server and all its backends."""
        assert self.process is not None
        backends = self.process.children()  # each leads a session of its own
        self.process.kill()
        kill_all(backends)

    def _as_owner(self, command: list[str]) -> list[str]:
        full = [str(self.bin / command[0]), *command[1:]]
        if os.geteuid() != 0:
            return full
        owner = pwd.getpwnam("postgres")
        return ["setpriv", f"--reuid={owner.pw_uid}", f"--regid={owner.pw_gid}", "--clear-groups", *full]


def _newest_postgresql() -> Path:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=lambda path: float(path.parts[-3]))
    if found:
        return found[-1].parent
    on_path = shutil.which("postgres")
    assert on_path, "PostgreSQL's server programs are not installed"
    return Path(on_path).parent


def celery(kind: str, env: Mapping[str, str], name: str, log: Path) -> Process:
    """A worker with one child, or a beat, as production starts them."""
    command = [sys.executable, "-m", "celery", "-A", "fleet.config", kind, "-l", "WARNING"]
    if kind == "worker":
        command += ["--concurrency", "1", "-n", f"{name}@%h", "--without-gossip", "--without-mingle"]
    else:
        command += ["-s", str(log.with_suffix(".schedule")), "--pidfile="]
    return Process(command, env, log)
