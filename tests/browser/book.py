"""A small book with something on every page, and the address of each page."""

from dataclasses import dataclass
from datetime import timedelta

from django.urls import reverse
from django.utils import timezone

from fleet.models import Grade, Mesh, Resource, TrayReason
from fleet.planning.readiness import State
from tests import make


@dataclass(frozen=True, slots=True)
class Book:
    """Name and path of every page that a person reads."""

    paths: dict[str, str]
    mesh: Mesh


def fill() -> Book:
    """Homes in several scripts, in every readiness, with long words and many rows."""
    make.firm()
    now = timezone.now()
    mesh = _home("KELP-7", "Ingunn Sæther", "nb", State.COVERED)
    _home("CEDAR-8", "ليلى حدّاد", "ar", State.THIN)
    _home("SALT-9", "Ελένη Βασιλάκη", "el", State.BARE)
    _home("MAPLE-3", "森下かなえ", "ja", State.UNKNOWN)
    _home("FERN-2", "Duarte " + "Mendonça-Real-" * 8, "pt", State.COVERED_WITH_HANDWORK)
    make.site(code="PINE-1", client=make.client(name="=HYPERLINK()"))
    problems = [{"path": "$.nodes[13].extendedAddress" * 3, "value": "02A4C138", "expected": "16 hex digits"}]
    make.tray_item(mesh, problems=problems, file_name="x" * 120 + ".json")
    make.tray_item(None, reason=TrayReason.NO_MESH)
    make.round_(started_at=now - timedelta(minutes=20), errors=[{"mesh": mesh.code, "error": "SealError"}])
    for days in range(3):
        make.journal_line(
            at=now - timedelta(days=days), subject=mesh.code, details={"sha256": "0123456789abcdef" * 4}
        )
    return Book(_paths(mesh), mesh)


def _home(code: str, name: str, language: str, state: State) -> Mesh:
    client = make.client(name=name, language=language, phone="+44 1632 960123")
    home = make.site(code=code, client=client, warnings="Ladder of 4 m", frost_limit_c=-2)
    make.contact(home)
    make.agreement(home)
    mesh = make.mesh(
        site=home,
        readiness=state,
        readiness_reason=f"What {code} lacks, in a sentence of some length that has to fold on a small screen.",
        readiness_act=f"What helps {code}.",
        minutes_low=30,
        minutes_likely=45,
        minutes_high=68,
        safety_relevant=True,
        table_use={"children": 46, "link_keys": 12},
        connection_path="/dev/serial/by-id/a-very-long-name-of-a-radio-without-any-blank-in-it-0001-port0",
    )
    period = make.service(mesh)
    make.limit(period.radio.model, Resource.CHILDREN, 50)
    for days in range(25):
        copy = make.snapshot(
            mesh, taken_at=make.NOW - timedelta(days=days), holds=[f"day {days}", "last sound"]
        )
    held = make.snapshot(mesh, grade=Grade.HELD)
    make.finding(mesh, held, severity="stop", path="$.identity.headAddress", value="02A4C13800000001")
    make.finding(mesh, severity="doubt")
    make.arrival(copy)
    for room in ("hall", "cellar", ""):
        make.node(mesh, room=room, safety_kind="lock", by_hand="key under the third stone")
    make.node(mesh, gone_since=make.NOW)
    make.evidence(mesh, 1_463_120)
    make.drill(mesh, minutes=44)
    make.push_token(mesh)
    make.spare(place=make.place_at(home))
    make.sheet(home, stale_since=make.NOW)
    make.sheet(home, mesh)
    return mesh


def _paths(mesh: Mesh) -> dict[str, str]:
    home = mesh.site
    held = mesh.snapshots.get(grade=Grade.HELD)
    arguments = {
        "client": [home.client.uid],
        "client-change": [home.client.uid],
        "site-new": [home.client.uid],
        "site-change": [home.code],
        "contact-new": [home.code],
        "contact-change": [home.code, home.contacts.get().pk],
        "agreement-new": [home.code],
        "agreement-change": [home.code, home.agreements.get().pk],
        "folder": [home.code],
        "mesh-new": [home.code],
        "mesh": [mesh.code],
        "mesh-change": [mesh.code],
        "snapshot": [held.uid],
        "sheets": [home.code],
    }
    plain = ("board", "clients", "client-new", "tray", "rounds", "journal")
    return {name: reverse(name) for name in plain} | {
        name: reverse(name, args=given) for name, given in arguments.items()
    }
