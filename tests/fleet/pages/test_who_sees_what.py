"""Every page, asked by everybody who should not get it. A new page without a line here fails.

The addresses are taken from the program's own list, so that none is forgotten.
"""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from fleet.models import PassageUnit, Radio
from sites.models import Role
from tests import make
from tests.addresses import FOR_MACHINES, FOR_THE_OFFICE, ONES_OWN, ONLY_POSTED, OPEN_TO_ALL, names

pytestmark = pytest.mark.django_db

EVERYBODY = {"board", "clients", "leavings", "people", "replacements", "tray"}
WHOLE_BOOK = {
    "drill-draw",
    "drill-lots",
    "drills",
    "failure-claim",
    "failure-dead",
    "failures",
    "firmware",
    "firmware-begin",
    "firmware-build",
    "firmware-enter",
    "firmware-model",
    "firmware-numbering",
    "firmware-order",
    "firmware-policy",
    "passage",
    "passage-act",
    "passage-unit",
    "journal",
    "keep-rule",
    "keep-rule-new",
    "keep-rules",
    "marked",
    "next-swaps",
    "next-swaps-anew",
    "next-swaps-support",
    "papers",
    "papers-anew",
    "papers-making",
    "round",
    "round-start",
    "round-stop",
    "rounds",
    "shelf",
    "radio",
    "radio-blank",
    "radio-firmware",
    "radio-move",
    "radio-state",
    "radio-where",
    "plan",
    "plan-enough",
    "plan-move",
    "plan-use",
    "plans",
    "visit",
    "visit-change",
    "visit-end",
    "visit-forecast",
    "visit-hold",
    "visit-new",
    "visit-pin",
    "visit-waive",
    "visit-want",
    "visits",
}
NEW_THINGS = {"client-new"}
DECIDED_BY_THE_OFFICE = {"client-hold", "client-erase"}


@pytest.fixture
def things() -> dict[str, list]:
    """What each address of a thing needs, all about one home that is nobody's business here."""
    mesh = make.mesh(site=make.site(code="KELP-7"))
    home = mesh.site
    contact, promise = make.contact(home), make.agreement(home, ends_on=date(2999, 1, 1))
    device = [mesh.code, make.node(mesh).extended_address]
    copy, token, paper = make.snapshot(mesh), make.push_token(mesh), make.sheet(home)
    waiting, signed = make.tray_item(mesh), make.signature(paper)
    swap = make.replacement(mesh)
    rehearsal = make.rehearsal(mesh)
    proof = make.silence(swap)
    visit, planned = make.visit(home), make.visit_plan()
    return {
        "client": [home.client.uid],
        "client-change": [home.client.uid],
        "client-hold": [home.client.uid],
        "client-erase": [home.client.uid],
        "client-keeping": [home.client.uid],
        "site-new": [home.client.uid],
        "site-change": [home.code],
        "contact-new": [home.code],
        "contact-change": [home.code, contact.pk],
        "contact-strike": [home.code, contact.pk],
        "agreement-new": [home.code],
        "agreement-change": [home.code, promise.pk],
        "leaving": [home.code, promise.pk],
        "leaving-tick": [home.code, promise.pk, "pack"],
        "hand-back": [home.code],
        "folder": [home.code],
        "mesh-new": [home.code],
        "mesh": [mesh.code],
        "mesh-change": [mesh.code],
        "air": [mesh.code],
        "air-nothing": [mesh.code],
        "air-strike": [mesh.code, make.wifi_heard(mesh).pk],
        "round": [make.round_().pk],
        "round-start": [],
        "round-stop": [make.round_().pk],
        "calendar": [mesh.code],
        "compare": [mesh.code],
        "counter": [mesh.code],
        "drill-draw": [],
        "drill-new": [mesh.code],
        "drill": [rehearsal.uid],
        "drill-write": [rehearsal.uid],
        "drill-step": [rehearsal.uid, "fetch"],
        "drill-end": [rehearsal.uid, "aborted"],
        "drill-lots": [make.drill_draw(mesh)],
        "replacement-new": [mesh.code],
        "next-swaps-anew": [],
        "next-swaps-support": [],
        "next-swaps-ask": [mesh.code],
        **{f"replacement{name}": [swap.uid] for name in ("", "-plan", "-write")},
        "replacement-step": [swap.uid, "dropped"],
        "replacement-tick": [swap.uid, mesh.nodes.get().pk],
        "replacement-photo": [swap.uid, proof.pk],
        **{
            f"radio{name}": [swap.new_radio.code]
            for name in ("", "-blank", "-firmware", "-move", "-state", "-where")
        },
        **_firmware(swap.new_radio),
        "restore": [mesh.code],
        "paper-copy": [mesh.code],
        "sealed-page": [mesh.code],
        "job-sheet": [mesh.code],
        "drill-record": [mesh.code, make.drill(mesh).pk],
        "erasure-certificate": [home.client.uid],
        "mesh-keeping": [mesh.code],
        "keep-all": [mesh.code],
        "mesh-hold": [mesh.code],
        "copy-keep": [copy.uid],
        "pin-end": [make.pin(mesh).pk],
        "keep-rule": [make.keep_rule().pk],
        "devices": [mesh.code],
        "device": device,
        "device-change": device,
        "code-enter": device,
        "code-show": device,
        "code-forget": device,
        "snapshot-upload": [mesh.code],
        "token-make": [mesh.code],
        "token-end": [mesh.code, token.pk],
        "snapshot": [copy.uid],
        **{f"tray-{name}": [waiting.uid] for name in ("item", "clear", "guide", "send")},
        "sheets": [home.code],
        "evidence-issue": [home.code],
        "handover-issue": [home.code],
        "recovery-issue": [home.code, mesh.code],
        "sheet-file": [paper.number],
        **{f"sheet-{name}": [paper.number] for name in ("about", "hung", "link", "mail", "sign")},
        "sheet-slip": [paper.number, signed.uid],
        "link-end": [make.sheet_link(paper).uid],
        "papers-making": [make.remaking(paper).pk],
        "papers-anew": [],
        **{f"visit{name}": [visit.uid] for name in ("", *(f"-{act}" for act in VISIT_ACTS))},
        "visit-hold": [visit.uid, "frost"],
        "visit-want": [],
        **{f"plan{name}": [planned.uid] for name in ("", "-enough", "-move", "-use")},
    }


VISIT_ACTS = ("change", "end", "forecast", "pin", "waive")


def _firmware(radio: Radio) -> dict[str, list]:
    """A build, its model, and a passage of it with one radio."""
    build, passage = radio.firmware, make.passage(radio)
    unit = PassageUnit.objects.get(radio=radio)
    return {
        **{f"firmware-{name}": [build.pk] for name in ("build", "policy", "order")},
        **{f"firmware-{name}": [build.model.code] for name in ("model", "numbering", "enter", "begin")},
        "passage": [passage.uid],
        "passage-act": [passage.uid, "stop"],
        "passage-unit": [passage.uid, unit.pk],
        "failure-dead": [],
        "failure-claim": [radio.code],
    }


READING = {
    "air",
    "calendar",
    "compare",
    "counter",
    "client",
    "drill",
    "folder",
    "leaving",
    "mesh",
    "replacement",
    "devices",
    "device",
    "snapshot",
    "sheets",
    "sheet-about",
    "sheet-file",
    "sheet-slip",
    "snapshot-upload",
}
# See test_messages.py, test_events.py, test_people.py and test_travel.py for these.
TOLD = FOR_THE_OFFICE | ONES_OWN
CHANGING_BY_POST = ONLY_POSTED - OPEN_TO_ALL - TOLD


def ask(client: Client, name: str, things: dict[str, list]) -> int:
    url = reverse(name, args=things.get(name, []))
    return (client.post(url) if name in ONLY_POSTED else client.get(url)).status_code


def test_every_address_has_its_rule(things):
    ruled = OPEN_TO_ALL | FOR_MACHINES | TOLD | EVERYBODY | WHOLE_BOOK | NEW_THINGS | set(things)
    assert names() == ruled


def test_nobody_reads_anything_without_signing_in(client, things):
    closed = EVERYBODY | WHOLE_BOOK | NEW_THINGS | set(things)
    assert {name: ask(client, name, things) for name in closed} == dict.fromkeys(closed, 302)


def test_things_of_another_home_do_not_exist_for_a_partner(as_stranger, things):
    asked = WHOLE_BOOK | set(things)
    assert {name: ask(as_stranger, name, things) for name in asked} == dict.fromkeys(asked, 404)


def test_a_partner_reads_their_home_and_changes_nothing(as_stranger, stranger, things):
    stranger.sites.add(make.Site.objects.get(code="KELP-7"))
    changing = set(things) - READING - WHOLE_BOOK
    assert {name: ask(as_stranger, name, things) for name in changing} == dict.fromkeys(changing, 403)
    assert {name: ask(as_stranger, name, things) for name in READING} == dict.fromkeys(READING, 200)


@pytest.mark.parametrize("role", [Role.OWNER, Role.OFFICE, Role.TECHNICIAN])
def test_people_of_the_firm_open_every_page(client, things, role):
    client.force_login(make.person(role=role))
    pages = (EVERYBODY | WHOLE_BOOK | NEW_THINGS | set(things)) - ONLY_POSTED - DECIDED_BY_THE_OFFICE
    assert {name: ask(client, name, things) for name in pages} == dict.fromkeys(pages, 200)


@pytest.mark.parametrize(("role", "status"), [(Role.OWNER, 200), (Role.OFFICE, 200), (Role.TECHNICIAN, 403)])
def test_what_cannot_be_undone_is_for_the_owner_and_the_office(client, things, role, status):
    client.force_login(make.person(role=role))
    answers = {name: ask(client, name, things) for name in DECIDED_BY_THE_OFFICE}
    assert answers == dict.fromkeys(DECIDED_BY_THE_OFFICE, status)


def test_pages_that_change_something_do_not_answer_to_a_plain_link(as_owner, things):
    answers = {name: as_owner.get(reverse(name, args=things[name])).status_code for name in CHANGING_BY_POST}
    assert answers == dict.fromkeys(CHANGING_BY_POST, 405)


def test_access_that_ended_opens_nothing(client, things):
    leaver = make.person(role=Role.OWNER, access_ends_on="2020-01-01")
    client.force_login(leaver)
    asked = WHOLE_BOOK | set(things)
    assert {name: ask(client, name, things) for name in asked} == dict.fromkeys(asked, 404)
