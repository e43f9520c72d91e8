"""python manage.py guide propose FILE: from an unknown document to a guide that a person has looked at."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

import fixtures
from fleet.models import FieldGuideRow, Mesh, Snapshot, TrayItem
from fleet.snapshots.guide_facts import Fact
from fleet.snapshots.guides import from_json
from tests import make
from tests.fleet import foreign_box
from tests.fleet.snapshots.foreign import key_hex

pytestmark = pytest.mark.django_db

SAMPLES = Path(fixtures.__file__).parent / "documents"


@pytest.fixture
def mesh() -> Mesh:
    return foreign_box.home_mesh(site=make.site(code="KELP-7"))


@pytest.fixture
def file(mesh, tmp_path) -> Path:
    path = tmp_path / "night.json"
    path.write_bytes(foreign_box.body(mesh))
    return path


def say(*words: object) -> str:
    out = StringIO()
    call_command("guide", *map(str, words), stdout=out, stderr=StringIO())
    return out.getvalue()


def complaint(*words: object) -> str:
    with pytest.raises(CommandError) as caught:
        say(*words)
    return str(caught.value)


def test_each_fact_has_what_would_be_read_how_sure_and_why(file, mesh):
    said = say("propose", file)

    told = foreign_box.facts(mesh)
    head = told.head_address
    assert f"{head[:4]} {head[4:8]} {head[8:12]} {head[12:]}  sure, 95 %" in said
    assert "the address that nodes point at as their parent and that is no node's; at boss.wide" in said
    assert "--choose extended_pan_id=2" in said
    assert "24 devices, in things: sure, 100 %" in said
    assert "The guide is complete. --out GUIDE writes it to a new file." in said


def test_no_key_is_said_in_any_notation(file, mesh, tmp_path):
    said = say("propose", file) + say("propose", file, "--json", "--out", tmp_path / "guide.json")
    said += (tmp_path / "guide.json").read_text()

    assert "(hidden)" in said
    assert [text for text in foreign_box.secrets(mesh) if text in said] == []


def test_the_same_as_json_has_every_candidate_with_its_number(file):
    told = json.loads(say("propose", file, "--json"))

    (head,) = [fact for fact in told["facts"] if fact["place"] == "head_address"]
    assert (told["complete"], told["lacking"], told["known_by"], told["written"]) == (True, [], None, None)
    assert (head["chosen"], head["required"]) == (1, True)
    assert [candidate["number"] for candidate in head["candidates"]] == [1, 2]
    assert head["candidates"][0]["where"] == "boss.wide"


def test_nothing_is_stored_by_proposing(file):
    say("propose", file)

    assert not FieldGuideRow.objects.exists()
    assert not TrayItem.objects.exists()


def test_a_written_guide_passes_its_test_is_saved_and_takes_in_what_waits(file, mesh, tmp_path):
    foreign_box.waits(mesh)
    guide = tmp_path / "guide.json"

    assert f"guide test {guide} {file}" in say("propose", file, "--out", guide, "--name", "Box")
    assert f"{file}: read" in say("test", guide, file)
    assert "1 documents left the tray, 0 of the layout still wait." in say("save", guide, file)

    assert Snapshot.objects.get().layout == "Box 1"
    assert "The field guide Box 1 knows this layout already." in say("propose", file)


def test_a_confirmed_guide_is_tested_by_its_name(file, tmp_path):
    say("propose", file, "--out", tmp_path / "guide.json", "--name", "Box")
    say("save", tmp_path / "guide.json", file)

    assert f"{file}: read" in say("test", "Box", file)
    assert "Confirmed are: Box." in complaint("test", "Crate", file)


def test_a_guide_is_never_written_over_a_file(file, tmp_path):
    there = tmp_path / "guide.json"
    there.write_text("mine")

    assert "is there already; name a new file" in complaint("propose", file, "--out", there)
    assert there.read_text() == "mine"


def test_a_folder_that_is_not_there_is_said(file, tmp_path):
    assert "cannot be written" in complaint("propose", file, "--out", tmp_path / "no" / "guide.json")


def test_choosing_and_stating_change_the_guide(file, tmp_path):
    out = tmp_path / "guide.json"

    said = say(
        "propose", file, "--choose", "channel_mask=out", "--choose", "nodes[0].label=out",
        "--choose", "key_sequence=2", "--fix", "pan_id=radio.id as hex", "--fix", "update_id=3", "--out", out,
    )  # fmt: skip

    guide = from_json(out.read_text())
    assert Fact.CHANNEL_MASK not in guide.rules
    assert guide.fixed == {Fact.UPDATE_ID: 3}
    assert guide.rules[Fact.KEY_SEQUENCE].expression == "made.build"
    assert "channel_mask                left out" in said
    assert "update_id                   3  (as you say)" in said


def test_a_guide_that_lacks_a_fact_is_not_written_and_says_how_to_mend_it(file, tmp_path):
    out = tmp_path / "guide.json"

    said = complaint(
        "propose", file, "--choose", "key_sequence=out", "--choose", "network_key=out", "--out", out
    )

    assert "network key: --fix 'network_key=net.value as hex'" in said
    assert "key sequence: --fix key_sequence=VALUE states it (a number from 0 to 255)" in said
    assert not out.exists()


def test_a_document_without_a_list_of_nodes_says_so(tmp_path):
    (tmp_path / "a.json").write_text('{"radio": {"slot": 15}}')

    assert "has no list of nodes" in complaint("propose", tmp_path / "a.json")


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("good.json", "is in the book's own layout, which needs no field guide"),
        ("cut-short.json", "is no document: $.nodes[2].sleeps"),
        ("nowhere.json", "cannot be opened: No such file or directory"),
    ],
)
def test_a_file_that_cannot_be_looked_at_is_said(name, said):
    assert said in complaint("propose", SAMPLES / name)


def test_a_file_that_is_too_large_is_said(file, settings):
    settings.INTAKE_LIMIT = 100

    assert "larger than 100 octets" in complaint("propose", file)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--choose", "pan_id=99"), 'pan_id: "99" found, expected 1 to '),
        (("--choose", "colour=1"), "expected one of the places extended_pan_id"),
        (("--choose", "pan_id"), "--choose pan_id: right is a name, an equals sign"),
        (("--fix", "=3"), "--fix : right is a name, an equals sign"),
        (("--fix", "key_sequence=300"), "expected a number from 0 to 255"),
        (("--fix", "pan_id=6699"), "as in: net.value as hex"),
        (("--name", ""), "expected a name of 1 to 60 characters"),
    ],
)
def test_what_cannot_be_meant_is_said(file, words, said):
    assert said in complaint("propose", file, *words)


def test_a_guide_that_would_repeat_a_key_is_not_written(mesh, tmp_path):
    told = json.loads(foreign_box.body(mesh))
    secret = key_hex(foreign_box.facts(mesh).network_key)
    told[secret] = told.pop("things")
    (tmp_path / "a.json").write_text(json.dumps(told))

    said = complaint("propose", tmp_path / "a.json", "--out", tmp_path / "guide.json")

    assert "no name that could be a key" in said
    assert secret not in said
    assert not (tmp_path / "guide.json").exists()
