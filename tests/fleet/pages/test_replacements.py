"""The swap card in the hands of somebody at the door."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from fleet.models import CounterEvidence, How, Mesh, Radio, Replacement, SealedPhoto
from fleet.planning.replacing.states import State
from fleet.verbs.intake import Origin, receive
from fleet.verbs.replacing import moving
from tests import make
from tests.documents import document
from tests.fleet.verbs.replacing.conftest import photo

pytestmark = pytest.mark.django_db


@pytest.fixture
def mesh():
    mesh = make.mesh(site=make.site(code="KELP-7", time_zone="Europe/Oslo"))
    make.service(mesh)
    now = timezone.now()
    body = document(mesh, now)
    receive(mesh, body, Origin(How.PUSH, "controller"), now)
    return Mesh.objects.get(pk=mesh.pk)


@pytest.fixture
def swap(mesh, monkeypatch):
    """Somebody stands at the door, and nothing speaks against the work: that is judged in tests of the verbs."""
    for name in ("preflight", "against_now"):
        monkeypatch.setattr(moving, name, lambda *args: ())
    return make.replacement(
        mesh, state=State.ARRIVED.value, new_radio=make.spare(code="NEW-1", state="prepared")
    )


def shown(page, swap):
    return page.get(reverse("replacement", args=[swap.uid])).content.decode()


def step(page, swap, to, **given):
    told = {"seen": swap.state, **given}
    answer = page.post(reverse("replacement-step", args=[swap.uid, to]), told)
    swap.refresh_from_db()
    return answer


def picture():
    return SimpleUploadedFile("lead.jpg", photo(), "image/jpeg")


def test_a_replacement_is_begun_on_the_page_of_a_mesh(as_owner, mesh):
    page = as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()
    assert reverse("replacement-new", args=[mesh.code]) in page

    answer = as_owner.post(
        reverse("replacement-new", args=[mesh.code]), {"why": "failed", "because": "it drops devices"}
    )

    swap = Replacement.objects.get()
    assert answer.headers["Location"] == reverse("replacement", args=[swap.uid])
    page = as_owner.get(reverse("mesh", args=[mesh.code])).content.decode()
    assert "Its replacement: asked" in page


def test_an_empty_wish_names_what_is_wanting(as_owner, mesh):
    answer = as_owner.post(reverse("replacement-new", args=[mesh.code]), {})

    assert answer.status_code == 422
    assert "Nothing was written yet. 2 places need a second look" in answer.content.decode()
    assert not Replacement.objects.exists()


def test_the_list_answers_in_its_first_line(as_owner, swap):
    make.replacement(make.mesh(), state=State.STRANDED.value)

    page = as_owner.get(reverse("replacements")).content.decode()

    assert "2 replacements are under way; one mesh is stranded." in page
    assert page.index("stranded</span>") < page.index("arrived</span>")


def test_an_empty_list_says_where_to_begin(as_owner):
    page = as_owner.get(reverse("replacements")).content.decode()
    assert "No replacement is under way." in page


def test_what_was_agreed_is_written_down_on_the_homes_clock(as_owner, swap, owner):
    Replacement.objects.update(state=State.ASKED.value)
    told = {
        "new_radio": swap.new_radio_id,
        "begins_at": "2027-03-29T09:30",
        "ends_at": "2027-03-29T11:00",
        "technician": owner.pk,
        "consent_by": "Ingunn",
    }
    as_owner.post(reverse("replacement-plan", args=[swap.uid]), told)

    swap.refresh_from_db()
    assert swap.begins_at.isoformat() == "2027-03-29T07:30:00+00:00"
    assert (swap.technician, swap.consent_by) == (owner, "Ingunn")
    form = as_owner.get(reverse("replacement-plan", args=[swap.uid])).content.decode()
    assert 'value="2027-03-29T09:30"' in form


def test_a_time_that_cannot_be_right_is_said_and_nothing_is_written(as_owner, swap):
    Replacement.objects.update(state=State.ASKED.value)
    told = {"begins_at": "2027-03-29T09:30", "ends_at": "2027-03-29T08:00", "new_radio": swap.new_radio_id}

    answer = as_owner.post(reverse("replacement-plan", args=[swap.uid]), told)

    assert answer.status_code == 422
    assert "the time must end after it begins" in answer.content.decode()
    swap.refresh_from_db()
    assert swap.begins_at is None


def test_no_file_is_offered_before_the_old_radio_is_recorded_silent(as_owner, swap):
    assert "Give out the file" not in shown(as_owner, swap)

    answer = as_owner.post(reverse("replacement-write", args=[swap.uid]))

    assert answer.status_code == 422
    assert "once the old radio is recorded silenced" in answer.content.decode()
    assert not CounterEvidence.objects.filter(kind="restore").exists()


def test_silencing_takes_a_photo_and_starts_the_clock(as_owner, swap):
    answer = step(as_owner, swap, "silenced", how="unplugged")
    assert answer.status_code == 422
    assert "have a second person confirm it" in answer.content.decode()

    answer = step(as_owner, swap, "silenced", how="unplugged", photo=picture())

    assert answer.status_code == 302
    assert SealedPhoto.objects.count() == 1
    page = shown(as_owner, swap)
    assert "Nobody speaks in KELP-7-A for" in page
    assert "stop-clock.js" in page
    assert "data-since=" in page


def test_a_second_person_proves_who_they_are(as_owner, swap):
    pekka = make.person(username="pekka")
    wrong = {"second_name": "pekka", "second_password": "guessed"}
    answer = step(as_owner, swap, "silenced", how="unplugged", **wrong)
    assert "No such person with this password" in answer.content.decode()
    assert swap.state == "arrived"

    step(as_owner, swap, "silenced", how="unplugged", second_name="pekka", second_password=make.PASSWORD)

    assert swap.silences.get().second == str(pekka)


def test_the_file_for_the_new_radio_comes_with_its_number(as_owner, swap):
    step(as_owner, swap, "silenced", how="unplugged", photo=picture())
    assert "Give out the file for NEW-1" in shown(as_owner, swap)

    answer = as_owner.post(reverse("replacement-write", args=[swap.uid]))

    swap.refresh_from_db()
    assert answer.headers["Content-Type"] == "application/json"
    assert f"{swap.mesh.code}-{swap.number}.json" in answer.headers["Content-Disposition"]
    assert answer.headers["Cache-Control"].find("no-store") >= 0
    assert swap.state == "written"


def test_who_was_late_with_a_step_is_told_who_made_it(as_owner, swap):
    late = {"seen": "arrived", "how": "unplugged"}
    step(as_owner, swap, "silenced", how="unplugged", photo=picture())

    answer = as_owner.post(
        reverse("replacement-step", args=[swap.uid, "silenced"]), {**late, "photo": picture()}
    )

    assert answer.status_code == 422
    assert "it is silenced already by" in answer.content.decode()


def test_devices_are_ticked_off_one_by_one(as_owner, swap):
    lock = swap.mesh.nodes.first()
    lock.safety_kind = "lock"
    lock.save()
    Replacement.objects.update(state=State.WAKING.value, first_word_at=timezone.now())
    assert "0 of 12 devices heard" in shown(as_owner, swap)

    as_owner.post(reverse("replacement-tick", args=[swap.uid, lock.pk]), {"tried": "1"})

    page = shown(as_owner, swap)
    assert "1 of 12 devices heard" in page
    assert "tried by hand" in page


def test_the_photo_opens_for_the_firm_and_for_nobody_else(as_owner, as_stranger, swap, stranger):
    step(as_owner, swap, "silenced", how="unplugged", photo=picture())
    path = reverse("replacement-photo", args=[swap.uid, swap.silences.get().pk])

    seen = as_owner.get(path)
    stranger.sites.add(swap.mesh.site)

    assert seen.content[:2] == b"\xff\xd8"
    assert "no-store" in seen.headers["Cache-Control"]
    assert as_stranger.get(path).status_code == 403


def test_a_partner_reads_the_card_and_moves_nothing(as_stranger, swap, stranger):
    stranger.sites.add(swap.mesh.site)

    page = shown(as_stranger, swap)

    assert "The next step" not in page
    assert "Its course" in page
    assert step(as_stranger, swap, "silenced", how="unplugged", photo=picture()).status_code == 403


def test_dropping_asks_for_a_reason_and_frees_the_radio(as_owner, swap):
    Radio.objects.filter(code="NEW-1").update(state="prepared")
    answer = step(as_owner, swap, "dropped")
    assert answer.status_code == 422
    assert "Say in a few words what happened" in answer.content.decode()

    step(as_owner, swap, "dropped", note="a new lead was enough")

    assert (swap.state, Radio.objects.get(code="NEW-1").state) == ("dropped", "shelved")


def test_no_such_state_is_not_found(as_owner, swap):
    assert step(as_owner, swap, "teleported").status_code == 404


@pytest.mark.parametrize("devices", [0, 60])
def test_the_card_asks_the_same_number_of_questions_whatever_the_size_of_the_home(
    as_owner, devices, django_assert_max_num_queries
):
    mesh = make.mesh()
    make.service(mesh)
    for _ in range(devices):
        make.node(mesh)
    swap = make.replacement(mesh, state=State.WAKING.value, first_word_at=timezone.now())

    with django_assert_max_num_queries(26):
        as_owner.get(reverse("replacement", args=[swap.uid]))


@pytest.mark.parametrize("state", State, ids=lambda state: state.value)
def test_every_state_has_a_card_with_a_first_line(as_owner, swap, state):
    Replacement.objects.update(state=state.value, number=1, first_word_at=timezone.now())

    answer = as_owner.get(reverse("replacement", args=[swap.uid]))

    assert answer.status_code == 200
    assert "KELP-7-A" in answer.content.decode().split("<h1", 1)[1].split("</h1>")[0]


def accepted(mesh, **given):
    now = timezone.now()
    old, new = (make.radio(firmware=make.release(), state=state) for state in ("silenced", "on_air"))
    swap = make.replacement(
        mesh, state=State.ACCEPTED.value, old_radio=old, new_radio=new, watched_until=now, **given
    )
    swap.moves.create(
        was="waking", became=State.ACCEPTED.value, at=now - timedelta(days=29, hours=1), by="Noor"
    )
    return swap


def test_the_card_says_who_had_to_come_back(as_owner, mesh):
    swap = accepted(mesh)
    assert "Not so far." in shown(as_owner, swap)

    visit = make.visit(mesh.site, state="done", ended_at=timezone.now())

    page = shown(as_owner, swap)
    assert reverse("visit", args=[visit.uid]) in page
    assert "look at the hall lamp" in page
    assert "no mesh was named" in page


def test_a_subcontractor_is_sent_to_no_visit(client, mesh):
    swap = accepted(mesh)
    visit = make.visit(mesh.site, state="done", ended_at=timezone.now())
    client.force_login(make.subcontractor(mesh.site))

    page = shown(client, swap)

    assert "look at the hall lamp" in page
    assert reverse("visit", args=[visit.uid]) not in page
