"""What other systems are told, and what never."""

import json
from datetime import UTC, datetime, timedelta, timezone

import pytest

from fleet.planning.events import Kind, body, headers, home_of, of_act, of_readiness, shown_secret

NOW = datetime(2027, 3, 26, 8, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("what", "subject", "details", "kind", "home", "data"),
    [
        (
            "snapshot taken in",
            "KELP-7-A",
            {"snapshot": "u1", "grade": "sound"},
            Kind.LANDED,
            "KELP-7",
            {"mesh": "KELP-7-A", "snapshot": "u1", "grade": "sound"},
        ),
        (
            "snapshot taken in",
            "KELP-7-A",
            {"snapshot": "u1", "grade": "held"},
            Kind.HELD,
            "KELP-7",
            {"mesh": "KELP-7-A", "snapshot": "u1", "grade": "held"},
        ),
        (
            "document put in the tray",
            "",
            {"item": "u2", "reason": "no_mesh"},
            Kind.TRAYED,
            "",
            {"item": "u2", "reason": "no_mesh"},
        ),
        ("round done", "", {"meshes": 12, "errors": 0}, Kind.ROUND, "", {"meshes": 12, "errors": 0}),
        (
            "sheet issued",
            "KELP-7",
            {"number": "H-000001-X", "sha256": "ab"},
            Kind.SHEET,
            "KELP-7",
            {"of": "KELP-7", "number": "H-000001-X", "sha256": "ab"},
        ),
    ],
)
def test_an_act_of_the_journal_becomes_an_event(what, subject, details, kind, home, data):
    found = of_act(what, subject, details)

    assert (found.kind, found.home, found.data) == (kind, home, data)


def test_an_erasure_tells_the_clients_mark_and_neither_names_nor_reasons():
    details = {"second": "Tomasz Ibe", "reason": "left us", "snapshots": 40}

    found = of_act("client erased", "5f0c", details)

    assert (found.kind, found.home, found.data) == (Kind.ERASED, "", {"client": "5f0c"})


def test_a_first_judgement_has_nothing_before_it():
    found = of_readiness("KELP-7-A", "", "bare", "spare")

    assert found.data == {"mesh": "KELP-7-A", "was": None, "became": "bare", "gate": "spare"}


@pytest.mark.parametrize(("code", "home"), [("KELP-7-A", "KELP-7"), ("KELP-7", "KELP-7"), ("", "")])
def test_the_home_of_a_code(code, home):
    assert home_of(code) == home


def test_the_body_says_the_moment_in_utc():
    chatham = timezone(timedelta(hours=13, minutes=45))

    assert json.loads(body("round.done", NOW.astimezone(chatham), {"meshes": 1})) == {
        "type": "round.done",
        "timestamp": "2027-03-26T08:00:00.000Z",
        "data": {"meshes": 1},
    }


def test_the_secret_is_in_no_header():
    secret = bytes(range(32))

    told = headers("e1", NOW, b"{}", secret)

    assert shown_secret(secret).removeprefix("whsec_") not in "".join(told.values())
