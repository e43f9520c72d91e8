import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet import keyring
from fleet.models import Snapshot, TrayItem
from fleet.verbs import round as rounds
from tests import make
from tests.documents import document, key

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    return make.mesh(site=make.site(code="KELP-7"))


def say(*words):
    out = StringIO()
    call_command(*words, stdout=out, stderr=StringIO())
    return out.getvalue()


def written(tmp_path, body, name="night.json"):
    path = tmp_path / name
    path.write_bytes(body)
    return str(path)


def test_intake_takes_a_document_in(mesh, tmp_path):
    said = say("intake", "--mesh", "KELP-7-A", written(tmp_path, document(mesh)))

    assert "taken in, seen live" in said
    assert Snapshot.objects.count() == 1


@pytest.mark.parametrize("code", ["kelp-7-a", "KELP-7-A/3", "KELP 7 A", "KELP-7"])
def test_a_code_may_be_typed_as_people_say_it(mesh, tmp_path, code):
    assert "taken in" in say("intake", "--mesh", code, written(tmp_path, document(mesh)))


def test_a_wrong_check_character_names_the_right_one(mesh, tmp_path):
    with pytest.raises(CommandError, match="check character of KELP-7-A is 3"):
        say("intake", "--mesh", "KELP-7-A/Q", written(tmp_path, document(mesh)))


def test_a_mesh_that_is_not_there_is_said_with_those_that_are(mesh, tmp_path):
    with pytest.raises(CommandError, match=r"no mesh MOSS-1-A.*KELP-7-A"):
        say("intake", "--mesh", "MOSS-1-A", written(tmp_path, b"{}"))


def test_a_home_with_two_meshes_asks_which(mesh, tmp_path):
    make.mesh(site=mesh.site)

    with pytest.raises(CommandError, match="KELP-7-A, KELP-7-B"):
        say("intake", "--mesh", "KELP-7", written(tmp_path, b"{}"))


def test_intake_goes_on_after_a_bad_document_and_ends_with_an_error(mesh, tmp_path):
    bad = written(tmp_path, b"not json", "bad.json")
    good = written(tmp_path, document(mesh))

    with pytest.raises(CommandError, match="1 of 2 documents"):
        say("intake", "--mesh", "KELP-7-A", bad, good)
    assert (TrayItem.objects.count(), Snapshot.objects.count()) == (1, 1)


def test_a_file_that_is_not_there_is_an_answer(mesh, tmp_path):
    out = StringIO()
    with pytest.raises(CommandError):
        call_command("intake", "--mesh", "KELP-7-A", str(tmp_path / "gone.json"), stdout=out)
    assert "No such file" in out.getvalue()


def test_intake_prints_receipts_as_json(mesh, tmp_path):
    said = json.loads(say("intake", "--json", "--mesh", "KELP-7-A", written(tmp_path, document(mesh))))

    assert said[0]["ok"] is True
    assert said[0]["snapshot"] == str(Snapshot.objects.get().uid)


def test_readiness_prints_the_worst_first(mesh):
    make.mesh(site=mesh.site, readiness="covered")
    rounds.run(lambda: make.NOW, by="test")

    said = json.loads(say("readiness", "--json"))

    assert [row["mesh"] for row in said] == ["KELP-7-A", "KELP-7-B"]
    assert {"readiness", "gate", "reason", "act"} <= set(said[0])


def test_readiness_says_what_helps_a_stranded_mesh_as_the_board_does(mesh):
    type(mesh).objects.update(readiness_act="Hold a drill.")
    make.drill(mesh, kind="live", result="failed")

    said = json.loads(say("readiness", "--json"))

    assert said[0]["act"] == "Give a radio a new number before it speaks, or join the devices anew."
    assert said[0]["stranded_since"]
    assert "Stranded since" in say("readiness", mesh.code)
    assert "Hold a drill" not in say("readiness")


def test_readiness_says_where_nobody_speaks(mesh):
    make.replacement(mesh, state="silenced", moved_at=make.NOW)

    assert json.loads(say("readiness", "--json"))[0]["nobody_speaks_since"] == make.NOW.isoformat()
    assert "Nobody speaks" in say("readiness")


def test_readiness_as_a_table_names_its_columns(mesh):
    assert say("readiness").split("\n")[0].split() == [
        "mesh",
        "readiness",
        "back",
        "in",
        "why",
        "what",
        "to",
        "do",
    ]


def test_round_reports_as_json(mesh):
    said = json.loads(say("round", "--json", "--no-papers"))

    assert (said["meshes"], said["done"], said["errors"]) == (1, 1, [])


@pytest.fixture
def fed(mesh, tmp_path):
    say("intake", "--mesh", "KELP-7-A", written(tmp_path, document(mesh)))
    return mesh


def restore(tmp_path, *words):
    spare = make.spare(code="A2-0110")
    out, password = tmp_path / "restore.json", tmp_path / "password"
    password.write_text(make.PASSWORD)
    agreed = ("--second", make.person(username="orla").username, "--second-password-file", str(password))
    said = say("restore-file", "KELP-7-A", "--radio", spare.code, "--out", str(out), *agreed, *words)
    return out, said


def test_restore_file_writes_a_document_for_its_owner_only(fed, tmp_path):
    out, said = restore(tmp_path, "--reason", "the radio is dead")

    assert out.stat().st_mode & 0o077 == 0
    assert json.loads(out.read_bytes())["security"]["outgoingCounter"] > 1_463_120
    assert "One identity, one voice" in said


def test_restore_file_never_prints_the_key(fed, tmp_path):
    _, said = restore(tmp_path, "--reason", "the radio is dead", "--json")

    assert key(fed.code).hex() not in said.lower()
    assert json.loads(said)["counter"] > 1_463_120


def test_restore_file_never_writes_over_a_file(fed, tmp_path):
    (tmp_path / "restore.json").write_text("mine")

    with pytest.raises(CommandError, match="is there already"):
        restore(tmp_path, "--reason", "the radio is dead")
    assert (tmp_path / "restore.json").read_text() == "mine"


def test_a_refused_restore_leaves_no_file(fed, tmp_path):
    with pytest.raises(CommandError, match="reason"):
        restore(tmp_path, "--reason", " ")
    assert not (tmp_path / "restore.json").exists()


def test_keyring_show_never_prints_a_key(fed):

    said = say("keyring", "show", "--json")

    ring = keyring.load()
    assert json.loads(said)["data_keys_wrapped_by"] == {ring.active: 1}
    assert ring.wrapping_key(ring.active).hex() not in said


def test_keyring_renew_says_what_it_did(fed):
    assert json.loads(say("keyring", "renew", "--json"))["data_keys_wrapped_anew"] == 1
