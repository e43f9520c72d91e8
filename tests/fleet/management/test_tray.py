"""python manage.py tray: what waits, and what is done about it."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import JournalEntry, Mesh, SealedBody, Snapshot, TrayItem
from tests import make
from tests.documents import document
from tests.fleet import foreign_box

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh() -> Mesh:
    return foreign_box.home_mesh(site=make.site(code="KELP-7"))


def say(*words: object) -> str:
    out = StringIO()
    call_command("tray", *map(str, words), stdout=out, stderr=StringIO())
    return out.getvalue()


def complaint(*words: object) -> str:
    with pytest.raises(CommandError) as caught:
        say(*words)
    return str(caught.value)


def test_an_empty_tray_says_so():
    assert say("list") == "Nothing waits in the tray.\n"
    assert say("list", "--cleared") == "Nothing has left the tray yet.\n"


def test_each_waiting_document_is_a_line(mesh):
    item, strange = foreign_box.waits(mesh), foreign_box.waits(None, b"{}")

    lines = say("list").splitlines()

    assert len(lines) == 2
    assert f"{str(item.uid)[:8]}  KELP-7-A  2027-03-26T08:00+00:00  layout not known  night.json" in lines
    assert any(line.startswith(f"{str(strange.uid)[:8]}  no mesh") for line in lines)


def test_the_list_can_be_of_one_mesh(mesh):
    foreign_box.waits(mesh)
    foreign_box.waits(None, b"{}")

    assert [row["mesh"] for row in json.loads(say("list", "--mesh", "KELP-7-A", "--json"))] == ["KELP-7-A"]


def test_what_it_shows_holds_no_key_and_opens_nothing(mesh):
    item = foreign_box.waits(mesh)

    said = say("show", item.uid) + say("show", str(item.uid)[:6], "--json")

    assert "reason: layout not known" in said
    assert [text for text in foreign_box.secrets(mesh) if text in said] == []
    assert not JournalEntry.objects.filter(what="tray item opened").exists()


def test_clearing_needs_a_reason_and_says_what_became_of_it(mesh):
    item = foreign_box.waits(mesh)

    told = json.loads(say("clear", item.uid, "--because", "no use", "--by", "Orla", "--json"))

    assert (told["cleared_by"], told["cleared_because"], told["held"]) == ("Orla", "no use", True)
    assert "no use" in say("list", "--cleared")
    assert "Say why" in complaint("clear", foreign_box.waits(mesh).uid, "--because", " ")


def test_what_it_holds_is_erased_when_asked(mesh):
    item = foreign_box.waits(mesh)

    assert "held: False" in say("clear", item.uid, "--because", "no use", "--erase")

    assert not SealedBody.objects.exists()


def test_an_item_that_is_cleared_already_is_said(mesh):
    item = foreign_box.waits(mesh)
    say("clear", item.uid, "--because", "no use", "--by", "Orla")

    assert "Orla was faster" in complaint("clear", item.uid, "--because", "mine")


def test_sending_takes_it_in(mesh):
    item = foreign_box.waits(None, document(mesh))

    told = json.loads(say("send", item.uid, "kelp-7", "--json"))

    assert (told["mesh"], told["outcome"]) == ("KELP-7-A", "stored")
    assert told["snapshot"] == str(Snapshot.objects.get().uid)


def test_what_cannot_be_taken_in_there_is_a_failure_that_names_where_it_waits(mesh):
    item = foreign_box.waits(None, foreign_box.body(mesh))
    out = StringIO()

    with pytest.raises(CommandError, match="KELP-7-A could not take it in; it waits there"):
        call_command("tray", "send", str(item.uid), "KELP-7-A", stdout=out)

    assert f"item: {TrayItem.objects.get(cleared_at=None).uid}" in out.getvalue()


def test_what_waits_for_a_field_guide_says_the_commands_for_it(mesh):
    said = complaint("send", foreign_box.waits(None, foreign_box.body(mesh)).uid, "KELP-7-A")

    assert "Next: teach the book its layout." in said
    assert "guide propose FILE --out GUIDE, then guide save GUIDE FILE" in said
    assert "next: teach the book" in say("show", TrayItem.objects.get(cleared_at=None).uid)


def test_what_no_one_could_read_is_to_be_sent_again(mesh):
    said = complaint("send", foreign_box.waits(None, b"{").uid, "KELP-7-A")

    assert "Next: have it sent again whole, then tray clear " in said


def test_what_belongs_to_another_mesh_says_to_which(mesh):
    other = make.mesh(site=make.site(code="PINE-1"))
    said = complaint("send", foreign_box.waits(None, document(other)).uid, "KELP-7-A")

    assert "PINE-1-A, whose extended PAN ID it names" in said
    item = TrayItem.objects.get(cleared_at=None)
    assert f"Next: tray send {str(item.uid)[:8]} PINE-1-A" in said


def test_what_names_no_mesh_of_the_book_is_to_be_entered_or_cleared(mesh):
    other = make.mesh(site=make.site(code="PINE-1"))
    body = document(other)
    other.delete()

    assert "Next: enter the mesh that it names" in complaint(
        "send", foreign_box.waits(None, body).uid, "KELP-7-A"
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("show", "zzzz"), "There is no tray item zzzz"),
        (("show", ""), "There is no tray item"),
        (("send", "zzzz", "KELP-7-A"), "There is no tray item zzzz"),
        (("list", "--mesh", "GULL-5-A"), "--mesh GULL-5-A: There is no mesh GULL-5-A"),
    ],
)
def test_what_is_not_there_is_said(mesh, words, said):
    foreign_box.waits(mesh)

    assert said in complaint(*words)
