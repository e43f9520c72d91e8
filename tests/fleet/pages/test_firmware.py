"""Firmware, passages and failures on their pages."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import FirmwareRelease, Passage, PassageState, PassageUnit, Radio, RadioState
from tests import make

pytestmark = pytest.mark.django_db


def read(page, name, *args):
    return page.get(reverse(name, args=args)).content.decode()


def send(page, name, *args, **fields):
    return page.post(reverse(name, args=args), fields)


def test_the_first_line_says_how_many_builds_may_go_into_homes(as_owner):
    model = make.radio_model()
    make.release(model, version="6.10", policy="preferred")
    barred = make.release(model, version="6.8", policy="barred")
    make.service(make.mesh(), make.radio(state=RadioState.ON_AIR, firmware=barred))

    page = read(as_owner, "firmware")

    assert "1 of 2 builds may go into homes; one mesh is led by a build on hold or barred." in page


def test_a_page_of_a_build_answers_and_says_how_it_stands_to_the_others(as_owner):
    model = make.radio_model(numbering="numbers")
    build = make.release(model, version="6.9", policy="barred", policy_reason="Forgets its routes.")
    make.release(model, version="6.10")
    make.release(model, version="nightly-7c")

    page = read(as_owner, "firmware-build", build.pk)

    assert "May 6.9 go into homes? No: it is barred. Forgets its routes." in page
    assert "<strong>older</strong> than" in page
    assert "<strong>not comparable</strong> with" in page
    assert "nightly-7c is not numbered by numbers; give both a place in the order." in page


def test_a_policy_is_set_on_the_page_with_a_reason(as_owner):
    build = make.release()

    refused = send(as_owner, "firmware-policy", build.pk, policy="barred")
    done = send(as_owner, "firmware-policy", build.pk, policy="barred", because="Late locks")

    assert (refused.status_code, done.status_code) == (422, 302)
    assert "Say in a few words why." in refused.content.decode()
    assert FirmwareRelease.objects.get().policy == "barred"
    assert "barred</strong>, <bdi>Orla Hentsch" in read(as_owner, "firmware-build", build.pk)


def test_a_technician_decides_nothing_but_notes_what_was_done(client, technician):
    client.force_login(technician)
    radio = make.spare()
    passage = make.passage(radio)
    unit = PassageUnit.objects.get()

    forbidden = [
        send(client, "firmware-policy", radio.firmware_id, policy="hold", because="why").status_code,
        send(client, "firmware-begin", passage.model.code).status_code,
        send(client, "passage-act", passage.uid, "pass").status_code,
        send(client, "passage-act", passage.uid, "give-up").status_code,
    ]

    assert forbidden == [403] * 4
    assert send(client, "passage-unit", passage.uid, unit.pk).status_code == 302
    assert Radio.objects.get().firmware == passage.target


def test_a_place_and_a_numbering_are_written_down(as_owner):
    build = make.release()

    assert send(as_owner, "firmware-order", build.pk, place="7", reason="by its date").status_code == 302
    assert send(as_owner, "firmware-numbering", build.model.code, numbering="date").status_code == 302
    assert send(as_owner, "firmware-enter", build.model.code, version="20270326").status_code == 302

    build.refresh_from_db()
    assert (build.order_key, build.model.numbering) == (7, "date")
    assert FirmwareRelease.objects.get(version="20270326").policy == "seen"


def begin(page, model, **fields):
    soak = {f"soak_{kind}": "7" for kind in ("bench", "own", "few", "rest")}
    return send(page, "firmware-begin", model.code, because="It mends late locks", **soak, **fields)


def test_a_passage_is_begun_on_the_page_of_its_model(as_owner):
    spare = make.spare()
    target = make.release(spare.model, policy="trial")

    wrong = begin(as_owner, spare.model, source=spare.firmware_id, target=target.pk, own="NONE-1")
    done = begin(as_owner, spare.model, source=spare.firmware_id, target=target.pk)

    assert "There is no home NONE-1 in this book." in wrong.content.decode()
    passage = Passage.objects.get()
    assert done["Location"] == reverse("passage", args=[passage.uid])
    page = read(as_owner, "passage", passage.uid)
    assert "may go to the ring on the bench and no further: 1 radio to be updated." in page
    assert f"{spare.code} has {target.version} on it now" in page


def test_a_build_that_may_not_be_tried_is_not_among_the_choices(as_owner):
    spare = make.spare()
    barred = make.release(spare.model, policy="barred")

    answer = begin(as_owner, spare.model, source=spare.firmware_id, target=barred.pk)

    assert answer.status_code == 422
    assert not Passage.objects.exists()


def test_a_home_without_a_fresh_copy_offers_no_button_and_takes_no_update(as_owner):
    network = make.mesh()
    radio = make.service(network).radio
    passage = make.passage(radio)

    page = read(as_owner, "passage", passage.uid)
    refused = send(as_owner, "passage-unit", passage.uid, PassageUnit.objects.get().pk)

    assert "due, but not now: There is no sound copy to bring the mesh back from." in page
    assert "on it now</button>" not in page
    assert refused.status_code == 422
    assert f"copy: {network.code}: There is no sound copy" in refused.content.decode().replace(
        '<span class="whole">', ""
    ).replace("</span>", "")


def test_what_went_worse_stops_the_passage_and_a_reason_resumes_it(as_owner):
    passage = make.passage(make.spare())
    unit = PassageUnit.objects.get()
    send(as_owner, "passage-unit", passage.uid, unit.pk)

    send(as_owner, "passage-act", passage.uid, "worse", unit=unit.pk, kind="lost_mesh", what="silent")
    stopped = read(as_owner, "passage", passage.uid)
    send(as_owner, "passage-act", passage.uid, "resume", because="a loose lead")

    assert "goes no further: the passage is stopped at its ring on the bench." in stopped
    assert "The mesh was lost" in stopped
    assert Passage.objects.get().state == PassageState.UNDER_WAY


def test_a_ring_that_is_not_proven_goes_on_at_a_word_only(as_owner):
    passage = make.passage(make.spare())
    long_ago = timezone.now() - timedelta(days=9)
    passage.rings.update(opened_at=long_ago)
    passage.rings.get().units.update(done_at=long_ago)

    refused = send(as_owner, "passage-act", passage.uid, "pass", because="")
    done = send(as_owner, "passage-act", passage.uid, "pass", because="no other to try")

    assert "up to 95.0 % may still fail" in refused.content.decode()
    assert (refused.status_code, done.status_code) == (422, 302)
    assert "has come through all its rings" in read(as_owner, "passage", passage.uid)


def test_an_act_that_there_is_not_is_not_found(as_owner):
    assert send(as_owner, "passage-act", make.passage(make.spare()).uid, "undo").status_code == 404


def test_no_failure_shows_a_bound_and_never_nothing(as_owner):
    now = timezone.now()
    make.service(make.mesh(), since=now - timedelta(days=365.25 * 40))

    page = read(as_owner, "failures")

    assert (
        "Radios of family P may fail most often: up to 7.49 times in 100 radio-years; no warranty claim is due."
        in page
    )
    assert "none seen" in page


def test_one_that_never_worked_is_written_down_and_claimed(as_owner):
    today = timezone.localdate()
    radio = make.spare(bought_on=today, warranty_months=24)

    send(as_owner, "failure-dead", radio=radio.pk, on=today.isoformat(), because="takes no power")
    page = read(as_owner, "failures")
    wrong = send(as_owner, "failure-claim", radio.code, on="soon")
    send(as_owner, "failure-claim", radio.code, on=today.isoformat())

    assert "1 warranty claim is due, the first by" in page
    assert wrong.status_code == 422
    assert Radio.objects.get().claimed_on == today


def test_the_pages_take_the_same_statements_whatever_the_book(as_owner, django_assert_max_num_queries):
    for count in (1, 9):
        for _ in range(count):
            build = make.release()
            make.service(make.mesh(), make.radio(state=RadioState.ON_AIR, firmware=build))
        passage = make.passage(*(make.spare(firmware=build) for _ in range(count)))
        for name, args in (("firmware", ()), ("passage", (passage.uid,)), ("failures", ())):
            with django_assert_max_num_queries(16):
                read(as_owner, name, *args)
