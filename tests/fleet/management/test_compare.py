"""python manage.py compare."""

import json
from datetime import timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.management.answers import copy_named
from fleet.models import Custody
from sites.models import Client
from tests import make
from tests.documents import key, nodes
from tests.fleet.taken import take

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def mesh():
    return make.mesh(site=make.site(code="KELP-7"))


@pytest.fixture
def pair(mesh):
    """A device joined and the network key changed between the two."""
    old = take(mesh, 2, nodes=nodes(12))
    return old, take(mesh, 1, nodes=nodes(13), network_key=key("new"), key_sequence=1)


def say(*words):
    out = StringIO()
    call_command("compare", *words, stdout=out, stderr=StringIO())
    return out.getvalue()


def test_it_says_what_changed_and_what_older_copies_are_worth(pair):
    said = say("KELP-7-A")
    assert "One device joined, the network key changed: older copies are locked out." in said
    assert "Joined: 1" in said
    assert "02BE EF00 0000 100C  thing 12" in said


def test_copies_are_named_by_the_beginning_of_their_ids(mesh, pair):
    take(mesh, 0, nodes=nodes(13), network_key=key("new"), key_sequence=1)
    old, new = pair
    assert "One device joined" in say("KELP-7-A", str(old.uid)[:13], str(new.uid).upper())


def test_a_copy_named_alone_is_held_against_the_sound_one_after_it(pair):
    assert "One device joined" in say("KELP-7-A", str(pair[0].uid))


def test_the_facts_are_printed_as_json_without_a_key(pair):
    said = say("KELP-7-A", "--json")
    facts = json.loads(said)
    assert facts["older_copies"] == "locked_out"
    assert facts["device_changes"]["appeared"][0]["device"]["address"] == "02BEEF000000100C"
    assert [change["fact"] for change in facts["mesh_changes"]] == ["network_key", "key_sequence"]
    assert key("new").hex() not in said.lower()


def test_an_id_that_no_copy_has_is_an_answer(pair):
    with pytest.raises(CommandError, match="OLD: KELP-7-A has no snapshot zz"):
        say("KELP-7-A", "zz")


def test_an_erased_copy_is_an_answer(mesh, pair):
    mesh.snapshots.filter(pk=pair[0].pk).update(
        custody=Custody.GONE, gone_at=make.NOW, gone_because="Keep rule usual"
    )
    with pytest.raises(CommandError, match=r"It was erased\. Keep rule usual\."):
        say("KELP-7-A", str(pair[0].uid), str(pair[1].uid))


def test_one_copy_is_not_enough(mesh):
    take(mesh, 1)
    with pytest.raises(CommandError, match="takes two to compare"):
        say("KELP-7-A")


def test_an_id_that_two_copies_begin_with_asks_for_more(mesh):
    for last in "12":
        make.snapshot(mesh, uid=f"abcdef00-0000-4000-8000-00000000000{last}")
    with pytest.raises(CommandError, match="2 snapshots of KELP-7-A have an id that begins with “abc”"):
        copy_named(mesh, "abc", "OLD")


def test_of_an_erased_home_it_says_that_and_when(mesh, pair):
    Client.objects.filter(pk=mesh.site.client_id).update(erased_at=make.NOW)

    with pytest.raises(
        CommandError, match="KELP-7-A was erased with its client on 2027-03-26; no copy is left"
    ):
        say("KELP-7-A")
