"""The main job, end to end, as a new user runs it: one command, no servers, then Ctrl-C."""

import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pypdfium2 as pdfium
import pytest

from fixtures.install_codes import install_code
from fixtures.meshes import MESHES
from fleet.mesh.install_codes import link_key_of
from tests.codes import secrets_in
from tests.fixtures.letters import letters

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_SECONDS = 240


def told(home: Path) -> dict[str, str]:
    plain = {name: value for name, value in os.environ.items() if not name.startswith("SPAREBOOK_")}
    return {**plain, "SPAREBOOK_HOME": str(home), "PYTHONUNBUFFERED": "1"}


def run(home: Path, *words: str) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=told(home),
        capture_output=True,
        text=True,
        timeout=PATIENCE_SECONDS,
        check=False,
    )


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> Path:
    """The demo book, made once by the real command."""
    home = tmp_path_factory.mktemp("demo")
    done = run(home, "demo", "--no-serve")
    assert done.returncode == 0, done.stderr
    (home / "said").write_text(done.stdout)
    return home


@pytest.fixture(scope="module")
def rows(book) -> dict[str, dict]:
    """What the demo's table says, by mesh, from a second run."""
    done = run(book, "demo", "--no-serve", "--json")
    assert done.returncode == 0, done.stderr
    return {row["mesh"]: row for row in json.loads(done.stdout)}


def asked(book: Path, statement: str) -> list[tuple]:
    with sqlite3.connect(book / "book.sqlite3") as database:
        return database.execute(statement).fetchall()


def test_the_table_names_every_mesh_and_its_sheets(book, rows):
    said = (book / "said").read_text()

    assert len(rows) >= 10
    for code, row in rows.items():
        assert code in said
        for sheet in (row["handover"], row["recovery"]):
            assert Path(sheet).read_bytes().startswith(b"%PDF-")


def test_the_model_home_is_covered_and_others_are_not(rows):
    assert rows["KELP-7-A"]["readiness"] == "covered"
    assert {row["readiness"] for row in rows.values()} >= {"covered", "thin", "bare", "unknown"}


@pytest.mark.parametrize(
    ("mesh", "readiness", "reason"),
    [
        ("GULL-5-A", "thin", r"7[01] days old; the limit is 3\.1 days"),
        ("MAPLE-3-A", "thin", r"last drill was 214 days ago; the limit is 182 days"),
        ("SALT-9-A", "bare", r"no spare"),
        ("CEDAR-8-A", "bare", r"no spare"),
        ("BENCH-0-A", "unknown", r"promised recovery"),
    ],
)
def test_each_home_says_why(rows, mesh, readiness, reason):
    assert rows[mesh]["readiness"] == readiness
    assert re.search(reason, rows[mesh]["reason"], re.IGNORECASE)


@pytest.mark.parametrize(
    ("mesh", "code", "says"),
    [
        ("SALT-9-A", "near_ceiling", "46 of 50 children"),
        ("FERN-2-B", "own_meshes_share_channel", "the same PAN ID"),
        ("FERN-2-C", "network_key_shared", "BENCH-0-A"),
        ("CEDAR-8-A", "agreement_ends", "in 9 days"),
    ],
)
def test_the_oddities_show_as_standing_findings(book, mesh, code, says):
    found = asked(
        book,
        "SELECT f.message FROM fleet_finding f JOIN fleet_mesh m ON m.id = f.mesh_id "
        f"WHERE m.code = '{mesh}' AND f.code = '{code}' AND f.snapshot_id IS NULL",
    )

    assert len(found) == 1
    assert says in found[0][0]


def test_a_fallen_counter_was_held_and_a_strange_document_waits(book):
    held = asked(
        book,
        "SELECT COUNT(*) FROM fleet_snapshot s JOIN fleet_finding f ON f.snapshot_id = s.id "
        "WHERE s.grade = 'held' AND f.code = 'counter_fell'",
    )
    waiting = dict(asked(book, "SELECT reason, COUNT(*) FROM fleet_trayitem GROUP BY reason"))

    assert held[0][0] >= 1
    assert waiting["wrong_home"] >= 2  # one of another home, one with its octets reversed
    assert waiting["unreadable"] >= 1


def test_a_second_run_adds_nothing_but_its_round(book, rows):
    before = asked(book, "SELECT COUNT(*) FROM fleet_snapshot")[0][0]
    clients = asked(book, "SELECT COUNT(*) FROM sites_client")[0][0]
    sheets = asked(book, "SELECT COUNT(*) FROM reports_sheet")[0][0]

    assert run(book, "demo", "--no-serve").returncode == 0

    assert asked(book, "SELECT COUNT(*) FROM fleet_snapshot")[0][0] == before
    assert asked(book, "SELECT COUNT(*) FROM sites_client")[0][0] == clients
    assert asked(book, "SELECT COUNT(*) FROM reports_sheet")[0][0] == sheets


@pytest.fixture(scope="module")
def secrets() -> set[bytes]:
    """Every key of every document of the demo, and every install code with the key that comes of it."""
    facts = [letter.facts for letter in letters() if letter.facts]
    link_keys = {node.link_key for each in facts for node in each.nodes}
    codes = {install_code(plan, device) for plan in MESHES for device in plan.devices} - {None}
    network_keys, seeds = {each.network_key for each in facts}, {each.link_key_seed for each in facts}
    return (network_keys | seeds | link_keys | codes | set(map(link_key_of, codes))) - {None}


def test_no_key_and_no_install_code_stands_in_the_database(book, secrets):
    tables = asked(book, "SELECT name FROM sqlite_master WHERE type = 'table'")
    rows = [row for (name,) in tables for row in asked(book, f'SELECT * FROM "{name}"')]
    values = [value if isinstance(value, bytes) else str(value).encode() for row in rows for value in row]

    assert len(secrets) > 400
    assert asked(book, "SELECT COUNT(*) FROM fleet_installcode")[0][0] == 8
    assert secrets_in(b"\n".join(values), secrets) == []


def test_no_key_and_no_install_code_is_printed_on_a_sheet(book, secrets):
    sheets = [path.read_bytes() for path in (book / "sheets").rglob("*.pdf")]
    pages = [page for sheet in sheets for page in pdfium.PdfDocument(sheet)]
    texts = "\n".join(page.get_textpage().get_text_range() for page in pages)
    squeezed = "".join(texts.split())

    assert len(sheets) >= 20
    assert secrets_in((texts + squeezed).encode(), secrets) == []


def test_secret_files_are_for_their_owner_only(book):
    for name in ("keyring.json", "session-secret", "demo-sign-in"):
        assert (book / name).stat().st_mode & 0o077 == 0


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def served(port: int) -> bytes:
    until = time.monotonic() + PATIENCE_SECONDS
    while True:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/") as answer:
                return answer.read()
        except urllib.error.URLError:
            assert time.monotonic() < until, "the pages were not served in time"
            time.sleep(0.3)


def test_it_serves_until_ctrl_c_and_says_who_may_sign_in(book):
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "manage.py", "demo", "--port", str(port)],
        cwd=ROOT,
        env=told(book),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert b"Sign in" in served(port)
    finally:
        process.send_signal(signal.SIGINT)
        said, complained = process.communicate(timeout=60)

    assert process.returncode == 0, complained
    assert "Traceback" not in complained
    assert f"http://127.0.0.1:{port}/" in said
    password = (book / "demo-sign-in").read_text().strip()
    assert password in said


def test_a_port_that_is_taken_is_said_in_a_sentence(book):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        done = run(book, "demo", "--port", str(taken.getsockname()[1]))

    assert done.returncode != 0
    assert "Name another with --port" in done.stderr
    assert "Traceback" not in done.stderr
