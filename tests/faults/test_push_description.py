"""The description of the push endpoint held against the running server by a tool that shares no code with it.

schemathesis makes requests from the OpenAPI description (fixed seed), good and bad ones, and checks that no answer is
an error of the server's own and that each is one that the description promises, with its headers and its body.
"""

import json
import re
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import jsonschema_rs
import pytest

from tests.faults.book import made
from tests.faults.serving import Served, served

ROOT = Path(__file__).resolve().parents[2]
DESCRIPTION = ROOT / "fleet" / "api" / "push.openapi.json"
OWN_LAYOUT = ROOT / "fleet" / "snapshots" / "own_layout.schema.json"
CHECKS = (
    "not_a_server_error",
    "status_code_conformance",
    "content_type_conformance",
    "response_headers_conformance",
    "response_schema_conformance",
    "unsupported_method",
    "allow_header_conformance",
    "ignored_auth",
)
CASES = 60
SECONDS = 300


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A book of its own, whose mesh has no identity yet: the first good document gives it one."""
    with served(made(tmp_path_factory.mktemp("described")), "gunicorn") as running:
        yield running


def asked(server: Served, folder: Path, description: dict, code: str | None) -> dict:
    """What schemathesis reports; with a code given, it stands in every address."""
    schema, settings, report = (folder / name for name in ("push.json", "schemathesis.toml", "report.json"))
    schema.write_text(json.dumps(description))
    settings.write_text(f'[parameters]\n"path.code" = "{code}"\n' if code else "")
    told = {
        "--config-file": settings,
        "--url": server.address,
        "--header": f"Authorization: Bearer {server.book.token}",
        "--phases": "coverage,fuzzing",
        "--max-examples": CASES,
        "--seed": 3,
        "--checks": ",".join(CHECKS),
        "--warnings": "off",
        "--report": "json",
        "--report-json-path": report,
    }
    config = ["--config-file", str(told.pop("--config-file"))]
    words = [str(word) for pair in told.items() for word in pair]
    command = [sys.executable, "-m", "schemathesis.cli", *config, "run", str(schema), *words]
    done = subprocess.run(command, capture_output=True, text=True, timeout=SECONDS, cwd=folder)
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads(report.read_text())


def description() -> dict:
    return json.loads(DESCRIPTION.read_text(encoding="utf-8"))


def own_layout() -> dict:
    """Our schema, with days that exist: most that only look like one would be refused for that alone."""
    text = OWN_LAYOUT.read_text(encoding="utf-8")
    return json.loads(re.sub(r'"pattern": "\^\[0-9\]\{4\}-[^\n"]*T[^\n"]*"', '"format": "date-time"', text))


def counted(server: Served, table: str) -> int:
    with closing(sqlite3.connect(f"file:{server.book.database}?mode=ro", uri=True)) as database:
        return database.execute(f"SELECT count(*) FROM {table}").fetchone()[0]


def test_any_json_gets_an_answer_that_the_description_promises(server: Served, tmp_path: Path):
    before = counted(server, "fleet_trayitem")

    report = asked(server, tmp_path, description(), server.book.code)

    assert report["test_cases"]["generated"] >= CASES
    assert report["failures"] == report["errors"] == []
    assert counted(server, "fleet_trayitem") > before


def test_so_does_any_json_at_any_address(server: Served, tmp_path: Path):
    report = asked(server, tmp_path, description(), None)

    assert report["failures"] == report["errors"] == []


def test_so_do_documents_of_our_own_layout_and_ones_that_are_nearly_so(server: Served, tmp_path: Path):
    told = description()
    push = told["paths"]["/api/v1/meshes/{code}/snapshots/"]["post"]
    push["requestBody"]["content"]["application/json"]["schema"] = own_layout()
    before = counted(server, "fleet_snapshot") + counted(server, "fleet_arrival")

    report = asked(server, tmp_path, told, server.book.code)

    assert report["failures"] == report["errors"] == []
    assert counted(server, "fleet_snapshot") + counted(server, "fleet_arrival") > before


def test_what_the_server_refuses_without_a_token_is_described_too(server: Served):
    told = description()["components"]["schemas"]

    answer = server.ask("POST", server.book.path, b"{}", {})

    problem = {"$ref": "#/$defs/Problem", "$defs": told}
    assert jsonschema_rs.is_valid(problem, json.loads(answer.body))
