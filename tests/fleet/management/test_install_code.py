"""The install-code command: one code from standard input, or a list from a file."""

import io
import json
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from fleet.models import InstallCode, Mesh
from fleet.verbs.install_codes import reveal
from tests import codes, make

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh(site=make.site(code="KELP-7"))


def say(*words: str) -> str:
    out = io.StringIO()
    call_command("install-code", *words, stdout=out, stderr=io.StringIO())
    return out.getvalue()


def typed(monkeypatch, text: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(text))


def a_list(tmp_path: Path, text: str, encoding: str = "utf-8") -> str:
    path = tmp_path / "codes.csv"
    path.write_bytes(text.encode(encoding))
    return str(path)


def test_a_code_is_read_from_standard_input(mesh, monkeypatch):
    node = make.node(mesh)
    typed(monkeypatch, codes.printed() + "\n")

    said = say("kelp-7-a", node.extended_address.lower(), "--by", "Noor")

    assert said == f"{node.extended_address}: entered\n"
    assert reveal(node, "to see", "Noor", make.NOW).code == codes.octets()
    assert InstallCode.objects.get().entered_by == "Noor"


def test_a_wrong_code_is_refused_with_its_group_and_never_printed(mesh, monkeypatch, capfd):
    wrong = codes.printed()[:-1] + ("7" if codes.printed()[-1] != "7" else "9")
    typed(monkeypatch, wrong)
    out = io.StringIO()

    with pytest.raises(CommandError, match="nothing was written") as refused:
        call_command("install-code", "KELP-7-A", make.node(mesh).extended_address, stdout=out)

    said = out.getvalue() + str(refused.value) + "".join(capfd.readouterr())
    assert "it is in group 9 of 9" in said
    assert codes.found_in(said) == []
    assert not InstallCode.objects.exists()


@pytest.mark.parametrize("words", [(), ("02A4C138F00D0011", "--from", "codes.csv")])
def test_one_device_or_one_list_must_be_named(mesh, words):
    with pytest.raises(CommandError, match="one device by its EUI-64, or a list"):
        say("KELP-7-A", *words)


@pytest.mark.parametrize(
    "form", ["eui64,code\n{0},{1}\n", "{0},{1}\n", "{0};{1}\r\n", "\ufeffEUI64, Code\n\n{0} , {1},kitchen\n"]
)
def test_a_list_is_read_as_spreadsheets_write_it(mesh, tmp_path, form):
    node = make.node(mesh)

    said = say("KELP-7-A", "--from", a_list(tmp_path, form.format(node.extended_address, codes.printed())))

    assert f"{node.extended_address}: entered" in said
    assert "erase it now" in said


def test_a_line_that_cannot_be_right_is_named_and_nothing_is_written(mesh, tmp_path):
    first, second = make.node(mesh).extended_address, make.node(mesh).extended_address
    path = a_list(tmp_path, f"eui64,code\n{first},{codes.printed()}\n{second},{codes.printed('two')[:-5]}\n")
    out = io.StringIO()

    with pytest.raises(CommandError, match="1 of 2 cannot be right; nothing was written"):
        call_command("install-code", "KELP-7-A", "--from", path, stdout=out)

    assert f"line 3: {second}: 32 digits" in out.getvalue()
    assert not InstallCode.objects.exists()


def test_a_dry_run_writes_nothing(mesh, tmp_path):
    path = a_list(tmp_path, f"{make.node(mesh).extended_address},{codes.printed()}\n")

    assert "Dry run: nothing was written." in say("KELP-7-A", "--from", path, "--dry-run")
    assert not InstallCode.objects.exists()


def test_a_code_on_two_devices_is_said(mesh, tmp_path):
    first, second = make.node(mesh).extended_address, make.node(mesh).extended_address
    path = a_list(tmp_path, f"{first},{codes.printed()}\n{second},{codes.printed()}\n")

    said = say("KELP-7-A", "--from", path)

    assert f"line 2: {second}: entered; but KELP-7-A {first} holds the same code" in said


def test_answers_as_json_hold_no_code(mesh, tmp_path):
    node = make.node(mesh)
    path = a_list(tmp_path, f"{node.extended_address},{codes.printed()}\n")

    (answer,) = json.loads(say("KELP-7-A", "--from", path, "--json"))

    assert answer == {
        "line": 1,
        "device": node.extended_address,
        "outcome": "entered",
        "ok": True,
        "doubt": "",
    }


@pytest.mark.parametrize(
    ("text", "encoding", "says"),
    [
        ("", "utf-8", "no line names a device"),
        ("eui64,code\n", "utf-8", "no line names a device"),
        ("eui64,code\n", "utf-16", "no text in UTF-8"),
        ("a" * 200_000 + ",b\n", "utf-8", "line 1: this is no line of a CSV file"),
        ("a" * 1_100_000, "utf-8", "larger than"),
    ],
)
def test_a_file_that_is_no_list_is_refused_in_a_sentence(mesh, tmp_path, text, encoding, says):
    with pytest.raises(CommandError, match=says):
        say("KELP-7-A", "--from", a_list(tmp_path, text, encoding))


def test_a_file_that_is_not_there_is_said(mesh, tmp_path):
    with pytest.raises(CommandError, match="No such file"):
        say("KELP-7-A", "--from", str(tmp_path / "gone.csv"))


@pytest.mark.parametrize("line", ["one cell", ",", "a,b,c,d", '"', "\x00,\x00"])
def test_a_line_of_nonsense_is_refused_by_its_reason(mesh, tmp_path, line):
    path = a_list(tmp_path, f"{make.node(mesh).extended_address},{codes.printed()}\n{line}\nx,y\n")

    with pytest.raises(CommandError):
        say("KELP-7-A", "--from", path)
    assert not InstallCode.objects.exists()
