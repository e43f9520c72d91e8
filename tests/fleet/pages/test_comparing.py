"""The page that holds two copies of a mesh side by side."""

from base64 import b64encode
from datetime import timedelta

import pytest
from django.urls import reverse

from fleet.models import Custody, Grade, JournalEntry, Mesh
from tests import make
from tests.documents import key, nodes
from tests.fleet.pages.words import words_of
from tests.fleet.taken import take

pytestmark = pytest.mark.django_db

DAY = timedelta(days=1)


@pytest.fixture
def mesh() -> Mesh:
    return make.mesh(site=make.site(code="KELP-7"))


def page(client, mesh: Mesh, **query: object) -> str:
    answer = client.get(reverse("compare", args=[mesh.code]), query)
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_first_line_answers_in_words(as_owner, mesh):
    take(mesh, 2, nodes=nodes(12))
    take(mesh, 1, nodes=nodes(15)[1:], network_key=key("new"), key_sequence=1, outgoing_counter=9)
    line = "3 devices joined, 1 left, the network key changed: older copies are locked out."
    assert f'tabindex="-1">{line}</h1>' in page(as_owner, mesh)


def test_a_device_that_joined_stands_with_name_room_and_address(as_owner, mesh):
    take(mesh, 2, nodes=nodes(12))
    take(mesh, 1, nodes=nodes(13))
    said = words_of(page(as_owner, mesh))
    assert "Joined 1" in said
    assert "thing 12 kitchen 02BE EF00 0000 100C" in said


def test_a_change_of_the_mesh_stands_with_its_verdict_on_older_copies(as_owner, mesh):
    take(mesh, 2)
    take(mesh, 1, channel=25)
    assert "Channel 20 25 to be tuned first An older copy must be tuned to it" in words_of(
        page(as_owner, mesh)
    )


def test_a_key_is_told_by_its_mark_only(as_owner, mesh):
    old = take(mesh, 2)
    new = take(mesh, 1, network_key=key("new"), key_sequence=1, outgoing_counter=9)
    assert f"Network key mark {old.key_mark} mark {new.key_mark} locked out" in words_of(page(as_owner, mesh))


def test_no_key_is_on_the_page(as_owner, mesh):
    devices = nodes(13)
    take(mesh, 2, nodes=devices[:12])
    take(mesh, 1, nodes=devices[1:], network_key=key("new"), key_sequence=1, outgoing_counter=9)
    html = page(as_owner, mesh)
    for secret in (key(mesh.code), key("new"), *(node.link_key for node in devices)):
        written = [secret.hex(), b64encode(secret).decode(), ", ".join(map(str, secret)), secret.hex(" ", 2)]
        assert not [text for text in written if text.lower() in html.lower()]


def test_looking_at_structure_needs_no_line_in_the_journal(as_owner, mesh):
    take(mesh, 2)
    take(mesh, 1)
    before = JournalEntry.objects.count()
    page(as_owner, mesh)
    assert JournalEntry.objects.count() == before


def test_the_lists_name_copies_by_the_clock_of_the_home_newest_first(as_owner, mesh):
    take(mesh, 30)
    take(mesh, 1)
    html = page(as_owner, mesh)
    newest, oldest = "25 Mar 2027, 09:00: seen live, fresh, 12 devices", "24 Feb 2027, 09:00: seen live"
    assert html.count(newest) == html.count(oldest) == 2
    assert html.index(newest) < html.index(oldest)
    assert '<optgroup label="February 2027">' in html


def test_the_two_that_are_compared_are_chosen_in_the_lists(as_owner, mesh):
    old, new = take(mesh, 2), take(mesh, 1)
    html = page(as_owner, mesh)
    assert html.count(" selected>") == 2
    assert html.index(f'value="{old.uid}" selected') < html.index(f'value="{new.uid}" selected')


def test_a_copy_named_alone_is_held_against_the_one_before(as_owner, mesh):
    take(mesh, 3, nodes=nodes(12))
    middle = take(mesh, 2, nodes=nodes(13))
    take(mesh, 1, nodes=nodes(13))
    assert "One device joined." in page(as_owner, mesh, new=middle.uid)


def test_an_erased_copy_gives_a_clear_message_and_what_the_book_noted(as_owner, mesh):
    gone = make.snapshot(
        mesh,
        taken_at=make.NOW - 9 * DAY,
        custody=Custody.GONE,
        gone_at=make.NOW,
        gone_because="Keep rule usual",
    )
    kept = take(mesh, 1)
    said = words_of(page(as_owner, mesh, old=gone.uid, new=kept.uid))
    assert "One of the two copies cannot be opened" in said
    assert "It was erased. Keep rule usual." in said
    assert f"Network key mark {gone.key_mark} {kept.key_mark}" in said


def test_a_damaged_copy_gives_a_clear_message(as_owner, mesh):
    damaged, kept = take(mesh, 2), take(mesh, 1)
    body = damaged.sealed_body
    body.sealed = bytes(body.sealed)[:-1] + bytes([bytes(body.sealed)[-1] ^ 1])
    body.save(update_fields=["sealed"])
    said = words_of(page(as_owner, mesh, old=damaged.uid, new=kept.uid))
    assert "It does not open: " in said
    assert "Devices 12 12" in said


def test_the_pages_of_mesh_and_copy_lead_here(as_owner, mesh):
    take(mesh, 2)
    copy = take(mesh, 1)
    here = reverse("compare", args=[mesh.code])
    assert f'href="{here}"' in as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()
    assert (
        f'href="{here}?new={copy.uid}"' in as_owner.get(reverse("snapshot", args=[copy.uid])).content.decode()
    )


def test_lists_end_at_five_hundred_copies_and_say_so(as_owner, mesh):
    for hours in range(501):
        make.snapshot(mesh, taken_at=make.NOW - timedelta(hours=hours))
    html = page(as_owner, mesh)
    assert html.count("<option ") == 2 * 500
    assert "These are the newest 500 copies." in html


def test_a_mesh_without_copies_says_so(as_owner, mesh):
    said = words_of(page(as_owner, mesh))
    assert "KELP-7-A has no sound copy so far; it takes two to compare." in said


def test_a_mesh_with_one_copy_says_so(as_owner, mesh):
    take(mesh, 1)
    assert "KELP-7-A has one sound copy so far" in words_of(page(as_owner, mesh))


@pytest.mark.parametrize(
    "typed",
    ["nonsense", "0" * 32, "<script>alert(1)</script>", key("pasted").hex()],
    ids=["a word", "an id", "markup", "a key"],
)
def test_what_is_no_copy_of_the_mesh_is_refused_and_not_said_again(as_owner, mesh, typed):
    take(mesh, 2)
    take(mesh, 1)
    html = page(as_owner, mesh, old=typed)
    assert "old: what was asked for is no copy of" in html
    assert typed not in html


def test_a_copy_of_another_home_is_refused_like_one_that_is_not_there(as_owner, mesh):
    other = make.snapshot(make.mesh())
    take(mesh, 1)
    assert "is no copy of" in page(as_owner, mesh, old=other.uid)


def test_a_long_list_of_devices_is_folded_and_whole(as_owner, mesh):
    take(mesh, 2, nodes=nodes(250, first=0x1000))
    new = take(mesh, 1, nodes=nodes(250, first=0x1000 + 39))
    html = page(as_owner, mesh, new=new.uid)
    assert "39 devices joined, 39 left, 211 changed." in html
    assert html.count("<summary>Show all 39 devices</summary>") == 2
    assert html.count("<summary>Show all 211 devices</summary>") == 1
    assert html.count('<th scope="row"><bdi>thing') == 39 + 39 + 211


def test_a_partner_of_another_home_finds_nothing(as_stranger, mesh):
    assert as_stranger.get(reverse("compare", args=[mesh.code])).status_code == 404


def test_a_partner_reads_the_copies_of_their_own_home(as_stranger, stranger, mesh):
    stranger.sites.add(mesh.site)
    take(mesh, 2)
    take(mesh, 1)
    assert "Nothing changed" in page(as_stranger, mesh)


def test_a_held_copy_can_be_chosen(as_owner, mesh):
    take(mesh, 2)
    held = take(mesh, 1, outgoing_counter=5)
    assert held.grade == Grade.HELD
    html = page(as_owner, mesh, new=held.uid)
    assert "The outgoing counter fell: find out why before you use either copy" in html


@pytest.mark.parametrize("count", [2, 30])
def test_the_page_takes_the_same_statements_whatever_the_mesh_holds(
    as_owner, mesh, django_assert_num_queries, count
):
    for days in range(count, 0, -1):
        take(mesh, days, nodes=nodes(10 + days))
    with django_assert_num_queries(
        7
    ):  # session, person, mesh, agreements, pair, names, copies to choose from
        page(as_owner, mesh)
