"""Giving a copy out on its page: who gets it, by how many people, and what the file holds."""

from datetime import datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from fleet.mesh.counters import SPACE_END
from fleet.models import CounterEvidence, DataKey, How, JournalEntry, Mesh, Radio, RadioState, SealedBody
from fleet.snapshots.decoding import decode
from fleet.verbs.erase import erase_client
from fleet.verbs.intake import Origin, receive
from sites.access import WRONG_TRIES
from tests import make
from tests.documents import document, key

pytestmark = pytest.mark.django_db

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
WAS = 11_036_800


def fed(**given) -> Mesh:
    """A mesh with dailies at 3 frames a second, the last of an hour ago; led by a radio, with a spare of its kind."""
    mesh = make.mesh(**given)
    make.agreement(mesh.site)
    head = make.service(mesh).radio
    make.spare(code="A2-0110", model=head.model, firmware=head.firmware, place=make.place_at(mesh.site))
    for days in range(4, -1, -1):
        taken_at = timezone.now().replace(microsecond=0) - HOUR - DAY * days
        body = document(mesh, taken_at, outgoing_counter=WAS - days * 259_200)
        receive(mesh, body, Origin(How.PUSH, "controller"), taken_at)
    return Mesh.objects.select_related("site__client").get(pk=mesh.pk)


@pytest.fixture
def mesh() -> Mesh:
    return fed(site=make.site(code="KELP-7"))


@pytest.fixture
def second(db):
    return make.person(username="pekka", first_name="Pekka")


def address(mesh: Mesh) -> str:
    return reverse("restore", args=[mesh.code])


def page(client, mesh: Mesh, **asked) -> str:
    return " ".join(strip_tags(client.get(address(mesh), asked).content.decode()).split())


def give(client, mesh: Mesh, **said):
    return client.post(address(mesh), {"radio": "A2-0110", "reason": "the radio is dead", **said})


def numbers() -> list[int]:
    return [line.value for line in CounterEvidence.objects.filter(kind="restore").order_by("value")]


def original(mesh: Mesh) -> bytes:
    taken_at = mesh.snapshots.order_by("-taken_at").first().taken_at
    return document(mesh, taken_at, outgoing_counter=WAS)


def test_the_first_line_says_that_a_copy_can_be_given_and_by_which_number(as_owner, mesh):
    assert "A copy of KELP-7-A can be given out today; the radio starts from 11,1" in page(as_owner, mesh)


def test_the_number_is_shown_with_how_it_came_about_and_what_it_costs(as_owner, mesh):
    html = page(as_owner, mesh)

    assert "shows 11,036,800" in html
    assert "at 3/s, times 2" in html
    assert "Margin 65,536" in html
    assert "less than a day sooner" in html


def test_the_answer_is_the_document_as_a_file_that_is_never_stored(as_owner, mesh):
    answer = give(as_owner, mesh)

    [number] = numbers()
    assert answer.headers["Content-Disposition"] == f'attachment; filename="KELP-7-A-{number}.json"'
    assert answer.headers["Content-Type"] == "application/json"
    assert "no-store" in answer.headers["Cache-Control"]


def test_the_file_is_the_original_but_for_its_counter(as_owner, mesh):
    answer = give(as_owner, mesh)

    [number] = numbers()
    assert answer.content == original(mesh).replace(b"11036800", str(number).encode())
    assert number > WAS


def test_what_was_given_out_goes_into_the_journal_and_onto_the_pages(as_owner, owner, mesh):
    give(as_owner, mesh)

    [number] = numbers()
    entry = JournalEntry.objects.get(what="restore document given out")
    assert (entry.who, entry.details["radio"], entry.details["counter"]) == (str(owner), "A2-0110", number)
    told = f"{number:,} for A2-0110"
    assert f"Given out: {told}. Write only the highest number." in page(as_owner, mesh)
    shown = " ".join(strip_tags(as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()).split())
    assert told in shown
    assert "by Orla Hentsch: the radio is dead" in shown


def test_a_second_tap_gives_another_file_with_a_higher_number(as_owner, mesh):
    first, again = give(as_owner, mesh), give(as_owner, mesh)

    low, high = numbers()
    assert low < high
    assert str(low).encode() in first.content
    assert str(high).encode() in again.content


def test_no_page_shows_a_key(as_owner, mesh):
    shown = as_owner.get(address(mesh)).content + give(as_owner, mesh, reason="").content

    assert key(mesh.code).hex() not in shown.decode().lower()
    assert key("link 4096").hex() not in shown.decode().lower()


def test_the_best_spare_comes_first_and_the_radio_in_service_can_be_put_back(as_owner, mesh):
    in_service = mesh.periods.get().radio.code

    choices = page(as_owner, mesh).partition("For which radio")[2]

    assert choices.index("best spare") < choices.index(in_service) < choices.index("another radio")
    assert "in service: to put the same one back" in choices
    assert give(as_owner, mesh, radio=in_service).headers["Content-Disposition"]


@pytest.mark.parametrize(
    ("given", "warning"),
    [
        ({"policy": "barred"}, "Do not take it as it is: its firmware is barred."),
        ({"blank": False}, "Do not take it as it is: it is not proven blank."),
        ({"policy": "barred", "blank": False}, "its firmware is barred, and it is not proven blank."),
    ],
    ids=["barred", "not blank", "both"],
)
def test_a_radio_not_to_be_taken_comes_last_and_says_so_first(as_owner, mesh, given, warning):
    service = mesh.periods.get().radio
    home = Radio.objects.get(code="A2-0110").place
    firmware = make.release(service.model, policy=given.get("policy", "allowed"))
    proven = make.NOW if given.get("blank", True) else None
    bad = make.spare(model=service.model, firmware=firmware, blank_proven_at=proven, place=home)

    choices = strip_tags(page(as_owner, mesh).partition("For which radio")[2])

    assert choices.index(service.code) < choices.index(warning) < choices.index(bad.code)
    assert choices.index(bad.code) < choices.index("another radio of the firm")


def test_another_radio_of_the_firm_is_named_by_its_code(as_owner, mesh):
    make.radio(code="C3-0999")

    give(as_owner, mesh, radio="another", other="c3-0999")

    assert JournalEntry.objects.get(what="restore document given out").details["radio"] == "C3-0999"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"reason": " "}, "Say in a few words why it is needed."),
        ({"radio": ""}, "Choose the radio that the document is for."),
        ({"radio": "nonsense"}, "Select a valid choice."),
        ({"radio": "another"}, "Write the code that is on the radio"),
        ({"radio": "another", "other": "X-1"}, "There is no radio X-1 in this book."),
        ({"other": "X-1"}, "Two radios are named, A2-0110 and X-1"),
    ],
)
def test_what_is_missing_or_wrong_is_named_and_uses_up_no_number(as_owner, mesh, said, told):
    answer = give(as_owner, mesh, **said)

    assert told in strip_tags(answer.content.decode())
    assert numbers() == []


def test_a_radio_that_leads_another_mesh_is_refused(as_owner, mesh):
    other = make.service(make.mesh(code="GULL-5-A", site=make.site(code="GULL-5"))).radio

    answer = give(as_owner, mesh, radio="another", other=other.code)

    assert f"radio: {other.code} leads GULL-5-A" in strip_tags(answer.content.decode())
    assert numbers() == []


@pytest.mark.parametrize("state", [RadioState.MISSING, RadioState.SCRAPPED])
def test_a_radio_that_is_not_at_hand_is_refused(as_owner, mesh, state):
    make.radio(code="C3-0999", state=state)

    answer = give(as_owner, mesh, radio="another", other="C3-0999")

    assert f"C3-0999 is {state.label.lower()}" in strip_tags(answer.content.decode())
    assert numbers() == []


def test_the_copy_that_was_asked_for_is_the_one_that_is_given(as_owner, mesh, second):
    older = mesh.snapshots.order_by("taken_at").first()
    mesh.snapshots.filter(pk=older.pk).update(currency="stale")

    html = page(as_owner, mesh, copy=older.uid)
    answer = give(as_owner, mesh, copy=older.uid, second_name="pekka", second_password=make.PASSWORD)

    assert "by two people only" in html
    assert datetime.fromisoformat(decode(answer.content)["taken"]) == older.taken_at
    assert CounterEvidence.objects.get(kind="restore").snapshot == older


@pytest.mark.parametrize("copy", ["nonsense", "6f0a2c1e-0000-4000-8000-000000000000"])
def test_a_copy_that_is_not_one_of_the_mesh_does_not_exist(as_owner, mesh, copy):
    assert as_owner.get(address(mesh), {"copy": copy}).status_code == 404
    assert give(as_owner, mesh, copy=copy).status_code == 404


def test_a_copy_of_another_mesh_does_not_exist_here(as_owner, mesh):
    other = make.snapshot(make.mesh())

    assert give(as_owner, mesh, copy=other.uid).status_code == 404


def test_the_page_of_a_copy_leads_here(as_owner, mesh):
    copy = mesh.snapshots.first()

    html = as_owner.get(reverse("snapshot", args=[copy.uid])).content.decode()

    assert f'href="{address(mesh)}?copy={copy.uid}"' in html


def test_the_cautions_stand_before_the_button(as_owner, mesh):
    make.node(mesh, safety_kind="lock", label="front door", by_hand="key from outside")

    html = page(as_owner, mesh)

    assert html.index("One identity, one voice") < html.index("front door") < html.index("Give it out")
    assert html.index("The file holds the network key: keep it nowhere else") < html.index("Give it out")


@pytest.mark.parametrize(
    ("sets_counter", "told"),
    [
        (True, "There is a way back: {old} can be written too."),
        (False, "No way back: {old} takes no number."),
        (None, "Nobody knows whether {old} takes a number."),
    ],
)
def test_whether_there_is_a_way_back_is_said_beforehand(as_owner, mesh, sets_counter, told):
    old = mesh.periods.get().radio
    old.firmware.sets_counter = sets_counter
    old.firmware.save()

    html = page(as_owner, mesh)

    assert told.format(old=old.code) in html
    assert ("stays deaf" in html) is not sets_counter


# Two people


@pytest.fixture
def stale(mesh) -> Mesh:
    mesh.snapshots.update(currency="stale")
    return mesh


def agreed(client, mesh, name="pekka", password=make.PASSWORD):
    return give(client, mesh, second_name=name, second_password=password)


def test_a_sound_fresh_copy_asks_for_no_second_person(as_owner, mesh):
    assert "second person" not in page(as_owner, mesh)


def test_a_stale_copy_says_why_two_people_are_needed(as_owner, stale):
    html = page(as_owner, stale)

    assert "A copy of KELP-7-A can be given out by two people only" in html
    assert "It is stale: devices may have joined since" in html
    assert "Password of the second person" in html


def test_two_people_get_it_and_both_stand_in_the_journal(as_owner, stale, second):
    answer = agreed(as_owner, stale)

    assert "attachment" in answer.headers["Content-Disposition"]
    assert JournalEntry.objects.get(what="restore document given out").details["second"] == "Pekka"


def refused(answer) -> str:
    """What the page says instead of giving anything out."""
    assert "Content-Disposition" not in answer.headers
    assert numbers() == []
    return strip_tags(answer.content.decode())


def test_nobody_gets_a_stale_copy_alone(as_owner, stale):
    assert "User name of the second person: This field is required." in refused(give(as_owner, stale))


def test_nobody_is_their_own_second_person(as_owner, stale):
    assert "somebody other than you" in refused(agreed(as_owner, stale, name="orla"))


def test_a_wrong_password_uses_up_no_number(as_owner, stale, second):
    assert "No such person with this password may agree to it." in refused(
        agreed(as_owner, stale, password="x")
    )


@pytest.mark.parametrize(
    "who", [{"access_ends_on": "2020-01-01"}, {"role": "subcontractor", "access_ends_on": "2999-01-01"}]
)
def test_somebody_who_may_not_change_the_book_is_no_second_person(as_owner, stale, who):
    make.person(username="partner", **who)

    assert "No such person" in refused(agreed(as_owner, stale, name="partner"))


def test_the_password_is_never_sent_back(as_owner, stale, second):
    answer = give(as_owner, stale, reason="", second_name="pekka", second_password=make.PASSWORD)

    assert make.PASSWORD not in answer.content.decode()


def test_guessing_at_a_password_ends_after_five_tries(as_owner, stale, second):
    for _ in range(WRONG_TRIES):
        agreed(as_owner, stale, password="guess")

    assert "Wait a quarter of an hour" in refused(agreed(as_owner, stale))


# What cannot be given out


def test_a_mesh_without_a_copy_says_what_to_do(as_owner):
    html = page(as_owner, make.mesh(site=make.site(code="KELP-7")))

    assert "No copy of KELP-7-A can be given out today." in html
    assert "KELP-7-A has no snapshot that can be restored. Take one and send it in." in html
    assert "Give it out" not in html


def test_a_refused_copy_is_not_given_by_posting_all_the_same(as_owner):
    mesh = make.mesh()

    assert "No copy of" in refused(give(as_owner, mesh))


def test_a_damaged_copy_is_found_before_anybody_presses(as_owner, mesh):
    body = SealedBody.objects.get(snapshot=mesh.snapshots.order_by("-taken_at").first())
    octets = bytearray(bytes(body.sealed))
    octets[len(octets) // 2] ^= 1
    SealedBody.objects.filter(pk=body.pk).update(sealed=bytes(octets))

    html = page(as_owner, mesh)

    assert "No copy of KELP-7-A can be given out today." in html
    assert "The copy does not open: this does not open: it is damaged" in html
    assert "Choose another" in html


def test_a_destroyed_key_is_said(as_owner, mesh):
    DataKey.objects.update(wrapped=None, destroyed_at=make.NOW)

    assert "the data key was destroyed" in page(as_owner, mesh)


def test_nothing_of_an_erased_client_is_given_out(as_owner, mesh):
    erase_client(mesh.site.client, "left", "Orla", "Tomasz", timezone.now())

    assert as_owner.get(address(mesh)).status_code == 403
    assert give(as_owner, mesh).status_code == 403
    assert numbers() == []


def test_near_the_end_of_the_counters_the_key_must_be_changed_first(as_owner, mesh):
    make.evidence(
        mesh, SPACE_END - 100, at=timezone.now(), key_mark=mesh.key_mark, key_sequence=mesh.key_sequence
    )

    html = page(as_owner, mesh)

    assert "No copy of KELP-7-A can be given out today." in html
    assert "change the network key" in html
    assert numbers() == []


def test_past_half_of_the_counters_a_copy_is_given_with_a_warning(as_owner, mesh):
    make.evidence(mesh, 1 << 31, at=timezone.now(), key_mark=mesh.key_mark, key_sequence=mesh.key_sequence)

    assert "past half of all counters: change the network key first" in page(as_owner, mesh)
    assert give(as_owner, mesh).headers["Content-Disposition"]


# Who sees it


def test_a_partner_who_is_named_for_the_home_may_not_take_a_copy(as_stranger, stranger, mesh):
    stranger.sites.add(mesh.site)

    assert as_stranger.get(address(mesh)).status_code == 403
    assert give(as_stranger, mesh).status_code == 403
    shown = as_stranger.get(reverse("mesh", args=[mesh.code])).content.decode()
    assert address(mesh) not in shown
    assert numbers() == []


def test_for_a_partner_who_is_not_it_does_not_exist(as_stranger, mesh):
    assert as_stranger.get(address(mesh)).status_code == 404
    assert give(as_stranger, mesh).status_code == 404
    assert numbers() == []


@pytest.mark.parametrize("count", [1, 9])
def test_the_page_takes_the_same_statements_whatever_the_mesh_holds(
    as_owner, django_assert_num_queries, mesh, count
):
    for _ in range(count):
        make.node(mesh, safety_kind="lock")
        make.evidence(mesh, 1000, kind="restore", at=timezone.now() - HOUR)
        make.spare(place=make.place(), model=mesh.periods.get().radio.model)
    with django_assert_num_queries(23):
        assert "Give it out" in page(as_owner, mesh)
