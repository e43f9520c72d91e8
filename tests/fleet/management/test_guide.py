"""A foreign layout from unknown to restorable: the tray, a guide, the snapshot, and the document given back."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import FieldGuideRow, How, Mesh, Snapshot, TrayItem
from fleet.queries.sealed import open_body
from fleet.verbs.grant import Request, restore_document
from fleet.verbs.intake import Kind, Origin, receive
from tests import make
from tests.documents import facts, key

pytestmark = pytest.mark.django_db

GUIDE = {
    "field_guide": 1,
    "name": "Cellar box",
    "version": 1,
    "mesh": {
        "head_address": {"expression": "boss.mac", "reading": "hex"},
        "extended_pan_id": {"expression": "air.xpan", "reading": "hex_turned"},
        "pan_id": {"expression": "air.pan", "reading": "hex"},
        "channel": {"expression": "air.ch", "reading": "number"},
        "network_key": {"expression": "crypt.k", "reading": "octets"},
        "outgoing_counter": {"expression": "crypt.sent", "reading": "number"},
        "taken_at": {"expression": "at", "reading": "seconds_since_1970"},
    },
    "nodes": [
        {
            "rows": {"items": "things", "form": "list"},
            "adds": True,
            "rules": {
                "extended_address": {"expression": "mac", "reading": "hex"},
                "short_address": {"expression": "nwk", "reading": "number"},
                "link_key": {"expression": "k", "reading": "hex"},
            },
        }
    ],
    "fixed": {"key_sequence": 0},
}


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh(site=make.site(code="KELP-7"))


def foreign(mesh: Mesh, counter: int = 1_463_120) -> bytes:
    told = facts(mesh)
    return json.dumps(
        {
            "at": int(told.taken_at.timestamp()),
            "boss": {"mac": told.head_address.lower()},
            "air": {
                "xpan": bytes.fromhex(told.extended_pan_id)[::-1].hex(),
                "pan": f"0x{told.pan_id:04x}",
                "ch": told.channel,
            },
            "crypt": {"k": list(told.network_key), "sent": str(counter)},
            "things": [
                {"mac": node.extended_address, "nwk": node.short_address, "k": node.link_key.hex()}
                for node in told.nodes
            ],
        },
        indent=1,
    ).encode()


def files(tmp_path, mesh, guide=GUIDE) -> tuple[str, str]:
    (tmp_path / "guide.json").write_text(json.dumps(guide))
    (tmp_path / "night.json").write_bytes(foreign(mesh))
    return str(tmp_path / "guide.json"), str(tmp_path / "night.json")


def say(*words: str) -> str:
    out = StringIO()
    call_command(*words, stdout=out, stderr=StringIO())
    return out.getvalue()


def push(mesh: Mesh, body: bytes):
    return receive(mesh, body, Origin(How.PUSH, "controller"), make.NOW)


def test_a_test_says_what_is_found_and_stores_nothing(mesh, tmp_path):
    said = json.loads(say("guide", "test", *files(tmp_path, mesh), "--json"))

    found = said["documents"][0]["facts"]
    assert (found["extended PAN ID"], found["outgoing counter"]) == (mesh.extended_pan_id, 1_463_120)
    assert found["nodes"] == found["link keys"] == 12
    assert key(mesh.code).hex() not in str(said).lower()
    assert not FieldGuideRow.objects.exists()


def test_confirming_a_guide_reads_again_what_waited(mesh, tmp_path):
    assert push(mesh, foreign(mesh)).kind is Kind.TRAYED

    assert "1 documents left the tray" in say("guide", "save", *files(tmp_path, mesh), "--by", "Orla")

    copy = Snapshot.objects.get()
    assert open_body(copy.sealed_body) == foreign(mesh)
    assert copy.received_at == make.NOW
    assert copy.layout == "Cellar box 1"
    item = TrayItem.objects.get()
    assert (item.cleared_by, item.cleared_because) == ("Orla", "read again with field guide Cellar box 1")


def test_later_documents_of_the_layout_are_read_by_themselves(mesh, tmp_path):
    say("guide", "save", *files(tmp_path, mesh))

    assert push(mesh, foreign(mesh)).kind is Kind.STORED


def test_a_document_given_back_differs_in_the_counter_only_and_keeps_its_notation(mesh, tmp_path):
    say("guide", "save", *files(tmp_path, mesh))
    push(mesh, foreign(mesh))
    mesh.refresh_from_db()

    grant = restore_document(mesh, Request(make.spare(), "Noor", "dead", second="Orla"), make.NOW)

    before, after = json.loads(foreign(mesh)), json.loads(grant.document)
    assert after["crypt"].pop("sent") == str(grant.start.value)
    before["crypt"].pop("sent")
    assert before == after


def test_a_confirmed_guide_gets_a_higher_version(mesh, tmp_path):
    say("guide", "save", *files(tmp_path, mesh))
    say("guide", "save", *files(tmp_path, mesh))

    assert FieldGuideRow.objects.get().version == 2


def test_a_guide_that_does_not_fit_is_not_saved_and_names_the_place(mesh, tmp_path):
    wrong = json.loads(json.dumps(GUIDE))
    wrong["mesh"]["channel"]["expression"] = "air.kanal"
    out = StringIO()

    with pytest.raises(CommandError, match="1 of 1 documents"):
        call_command("guide", "save", *files(tmp_path, mesh, wrong), stdout=out)
    assert "air.kanal" in out.getvalue()
    assert not FieldGuideRow.objects.exists()


def test_a_file_that_is_no_guide_is_said(mesh, tmp_path):
    with pytest.raises(CommandError, match="no field guide"):
        say("guide", "test", *files(tmp_path, mesh, {"name": "x"}))


def nights(tmp_path, mesh, *counters: int) -> list[str]:
    """A guide, and one document for each counter, a day apart."""
    guide, _ = files(tmp_path, mesh)
    paths = []
    for night, counter in enumerate(counters):
        document = json.loads(foreign(mesh, counter))
        document["at"] += 86_400 * night
        paths.append(tmp_path / f"night{night}.json")
        paths[-1].write_text(json.dumps(document))
    return [guide, *map(str, paths)]


@pytest.mark.parametrize("act", ["test", "save"])
def test_a_counter_that_falls_between_two_documents_is_said_and_nothing_is_saved(mesh, tmp_path, act):
    guide, first, second = nights(tmp_path, mesh, 1_463_120, 90_000)
    out = StringIO()

    with pytest.raises(CommandError, match="Counters fall in 1 of 2 documents"):
        call_command("guide", act, guide, second, first, stdout=out)

    assert f"counter of the network: 90000 after 1463120 in {first}" in out.getvalue()
    assert key(mesh.code).hex() not in out.getvalue().lower()
    assert not FieldGuideRow.objects.exists()


def test_the_finding_stands_in_the_facts_too(mesh, tmp_path):
    out = StringIO()

    with pytest.raises(CommandError):
        call_command("guide", "test", *nights(tmp_path, mesh, 1_463_120, 90_000), "--json", stdout=out)

    first, second = json.loads(out.getvalue())["documents"]
    assert (first["ok"], first["findings"], second["ok"], len(second["findings"])) == (True, [], False, 1)


def test_counters_that_rise_or_stand_are_fine(mesh, tmp_path):
    said = say("guide", "test", *nights(tmp_path, mesh, 1_463_120, 1_463_120, 1_500_000))

    assert "counter of the network" not in said


def test_documents_of_two_meshes_are_not_held_against_each_other(mesh, tmp_path):
    other = make.mesh(site=make.site(code="PINE-1"))
    guide, first = files(tmp_path, mesh)
    (tmp_path / "other.json").write_bytes(foreign(other, 5_000))

    assert "counter of the network" not in say("guide", "test", guide, first, str(tmp_path / "other.json"))
