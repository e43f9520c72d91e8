"""The collector as it runs at a home: a process of its own against a real server on loopback."""

import subprocess
import sys
import threading
import time
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

COLLECTOR = Path(__file__).resolve().parents[2] / "fleet" / "static" / "fleet" / "collector.py"
PATIENCE_SECONDS = 20


class Book(BaseHTTPRequestHandler):
    """Answers with the next of the statuses it was told, then 201, and remembers what came."""

    statuses: list[int]
    came: list[tuple[str, bytes]]

    def do_POST(self) -> None:
        body = self.rfile.read(int(self.headers["Content-Length"]))
        status = self.statuses.pop(0) if self.statuses else 201
        if status < 300:
            self.came.append((self.headers["Authorization"], body))
        self.send_response(status)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def book():
    handler = type("Told", (Book,), {"statuses": [], "came": []})
    server = HTTPServer(("127.0.0.1", 0), handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield server
    server.shutdown()


@pytest.fixture
def home(tmp_path):
    (tmp_path / "token").write_text("a token\n")
    # The real file, only quicker: the test waits a second where a home waits a minute.
    text = COLLECTOR.read_text().replace(
        "EVERY_SECONDS, KEEP_SECONDS = 60", "EVERY_SECONDS, KEEP_SECONDS = 0.2"
    )
    (tmp_path / "collector.py").write_text(text.replace("st_mtime < 2", "st_mtime < 0.1"))
    return tmp_path


def start(home: Path, port: int) -> subprocess.Popen:
    address = f"http://127.0.0.1:{port}/api/v1/meshes/KELP-7-A/snapshots/"
    words = [home / "collector.py", home / "snapshot.json", home / "queue", address, home / "token"]
    return subprocess.Popen([sys.executable, *map(str, words)], stderr=subprocess.DEVNULL)


def wait_for(happens) -> None:
    until = time.monotonic() + PATIENCE_SECONDS
    while not happens():
        assert time.monotonic() < until
        time.sleep(0.05)


def test_it_is_about_forty_lines_and_needs_no_package():
    code = [line for line in COLLECTOR.read_text().splitlines() if line.strip()]

    assert len(code) <= 58
    assert not {"django", "requests", "fleet"} & set(COLLECTOR.read_text().split())


def test_each_change_is_sent_once_with_the_token(book, home):
    process = start(home, book.server_port)
    try:
        (home / "snapshot.json").write_bytes(b"one")
        wait_for(lambda: len(book.RequestHandlerClass.came) == 1)
        (home / "snapshot.json").write_bytes(b"two")
        wait_for(lambda: len(book.RequestHandlerClass.came) == 2)
        time.sleep(0.6)
    finally:
        process.kill()
        process.wait()

    assert book.RequestHandlerClass.came == [("Bearer a token", b"one"), ("Bearer a token", b"two")]
    assert list((home / "queue").glob("*.json")) == []


def test_what_could_not_be_sent_waits_and_goes_in_order(book, home):
    book.RequestHandlerClass.statuses[:] = [500] * 6
    process = start(home, book.server_port)
    try:
        for body in (b"one", b"two", b"three"):
            before = len(list((home / "queue").glob("*.json"))) if (home / "queue").exists() else 0
            (home / "snapshot.json").write_bytes(body)
            wait_for(
                lambda before=before: (
                    len(list((home / "queue").glob("*.json"))) > before or book.RequestHandlerClass.came
                )
            )
        wait_for(lambda: len(book.RequestHandlerClass.came) == 3)
    finally:
        process.kill()
        process.wait()

    assert [body for _, body in book.RequestHandlerClass.came] == [b"one", b"two", b"three"]


def test_with_no_book_to_reach_it_keeps_waiting(home):
    process = start(home, 9)  # the discard port: nobody answers
    try:
        (home / "snapshot.json").write_bytes(b"one")
        wait_for(lambda: (home / "queue").exists() and list((home / "queue").glob("*.json")))
        time.sleep(0.5)
        assert process.poll() is None
    finally:
        process.kill()
        process.wait()

    assert [path.stat().st_mode & 0o077 for path in (home / "queue").glob("*.json")] == [0]
