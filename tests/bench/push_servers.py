"""What the push bench runs against: a database of its own, the book in it, and two gunicorn servers in turn."""

import os
import secrets
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import psycopg

SERVER = "postgresql://postgres@127.0.0.1:5432"
WORKERS, THREADS = "2", "2"
PATIENCE_SECONDS = 30


@contextmanager
def own_database() -> Iterator[str]:
    """A new database's address; dropped with the block, whoever is still in it."""
    name = f"sparebook_bench_{secrets.token_hex(4)}"
    with psycopg.connect(f"{SERVER}/postgres", autocommit=True) as server:
        server.execute(f"CREATE DATABASE {name}")
        try:
            yield f"{SERVER}/{name}"
        finally:
            server.execute(f"DROP DATABASE {name} WITH (FORCE)")


@contextmanager
def gunicorn(application: str, given: Mapping[str, str]) -> Iterator[int]:
    """The port of a server with two workers that keep connections open; both sides are run by this one line."""
    port = _free_port()
    command = [sys.executable, "-m", "gunicorn", application, "--bind", f"127.0.0.1:{port}"]
    command += ["--workers", WORKERS, "--worker-class", "gthread", "--threads", THREADS]
    command += ["--keep-alive", "60", "--log-level", "warning"]
    process = subprocess.Popen(command, env={**os.environ, **given})
    try:
        _wait_for(port, process)
        yield port
    finally:
        process.terminate()
        try:
            process.wait(PATIENCE_SECONDS)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def _wait_for(port: int, process: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while time.monotonic() < until and process.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=1).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise SystemExit(f"the server on port {port} did not start")
