"""Shelves and vans, one radio, and recalls."""

import pytest
from django.urls import reverse

from fleet.models import Radio
from tests import make

pytestmark = pytest.mark.django_db


def read(page, name="shelf", *args, **query):
    return page.get(reverse(name, args=args), query).content.decode()


def test_the_first_line_says_how_many_count_and_what_is_wanting(as_owner):
    model = make.radio_model(family="P")
    firmware = make.release(model)
    make.service(make.mesh(), make.radio(state="on_air", firmware=firmware))
    make.spare(firmware=firmware, place=make.place())

    page = read(as_owner)

    assert "One spare counts" in page


def test_a_spare_that_does_not_count_says_why(as_owner):
    make.spare(code="A2-0110", place=make.place(), blank_proven_at=None)

    page = read(as_owner)

    assert "No spare counts" in page
    assert "Does not count: nobody has proven it blank." in page


def test_spares_in_homes_are_counted_apart(as_owner):
    firmware = make.release()
    for where in (make.place(), make.place(), make.place_at(make.site()), make.place_at(make.site())):
        make.spare(firmware=firmware, place=where)

    page = read(as_owner)

    assert "2 spares of the firm count, and 2 more lie in homes; " in page


def test_a_spare_in_a_home_alone_is_none_of_the_firm(as_owner):
    make.spare(place=make.place_at(make.site()))

    assert "No spare of the firm counts, and one lies in a home; " in read(as_owner)


def test_a_family_that_never_served_is_not_known_and_never_enough(as_owner):
    make.spare(firmware=make.release(make.radio_model(family="Z")), place=make.place())

    page = read(as_owner)

    assert "nobody can say how many of family Z are wanted" in page


def test_an_empty_book_is_readable(as_owner):
    assert "No spare counts, as many as every family wants." in read(as_owner)


def test_the_page_takes_the_same_statements_whatever_lies_there(as_owner, django_assert_num_queries):
    for count in (1, 12):
        for _ in range(count):
            make.spare(place=make.place())
        with django_assert_num_queries(4):
            read(as_owner)


def test_a_recalled_batch_is_found_wherever_it_is(as_owner):
    firmware = make.release()
    for _ in range(9):
        make.service(make.mesh(), make.radio(state="on_air", firmware=firmware, batch="AL-23-02"))
    for place in (
        make.place(),
        make.place(),
        make.place(),
        make.place(kind="shelf"),
        make.place(kind="shelf"),
    ):
        make.spare(firmware=firmware, batch="al-23-02", place=place)
    make.spare(firmware=firmware, batch="AL-23-03")
    make.radio(firmware=firmware, batch="AL-23-02", state="scrapped")

    page = read(as_owner, batch="AL-23-02")

    assert "14 radios of batch AL-23-02" in page
    assert page.count("leads <code") == 9


def test_a_batch_of_which_nothing_is_left_says_so(as_owner):
    assert "No radio of batch XX-1 is in the book." in read(as_owner, batch="XX-1")


def test_a_radio_is_moved_proven_and_put_away_on_its_page(as_owner, owner):
    shelf, van = make.place(code="SHELF", kind="shelf"), make.place(code="VAN-9")
    make.spare(code="A2-0110", place=shelf, blank_proven_at=None)

    as_owner.post(reverse("radio-move", args=["A2-0110"]), {"target": van.pk, "seen": "SHELF"})
    as_owner.post(reverse("radio-blank", args=["A2-0110"]))

    radio = Radio.objects.get()
    assert (radio.place, radio.blank_proven_by) == (van, str(owner))
    assert "A2-0110 counts as a spare." in read(as_owner, "radio", "a2-0110")


def test_a_refusal_is_said_beside_the_form(as_owner):
    make.spare(code="A2-0110", place=make.place(code="SHELF"))

    told = {"seen": "ELSEWHERE", "target": make.place().pk}
    answer = as_owner.post(reverse("radio-move", args=["A2-0110"]), told)

    assert answer.status_code == 422
    assert "look again before you move it" in answer.content.decode()


def test_what_may_not_follow_is_not_offered(as_owner):
    make.radio(code="A2-0110", state="silenced")
    page = read(as_owner, "radio", "A2-0110")
    assert 'value="wiped"' in page
    assert 'value="shelved"' not in page
    answer = as_owner.post(reverse("radio-state", args=["A2-0110"]), {"state": "shelved"})
    assert answer.status_code == 422


def test_a_radio_in_service_is_read_only(as_owner):
    period = make.service(make.mesh())
    page = read(as_owner, "radio", period.radio.code)
    assert f"{period.radio.code} leads {period.mesh.code}." in page
    assert "Move it" not in page


def test_a_partner_sees_no_shelf(as_stranger):
    assert as_stranger.get(reverse("shelf")).status_code == 404


def test_nothing_chosen_moves_nothing_and_leaving_the_firm_asks_why(as_owner):
    make.spare(code="A2-0110", place=make.place(code="SHELF"))
    path = reverse("radio-move", args=["A2-0110"])

    assert "Choose the place" in as_owner.post(path, {"seen": "SHELF"}).content.decode()
    assert "say why A2-0110 leaves" in as_owner.post(path, {"seen": "SHELF", "out": "on"}).content.decode()
    assert Radio.objects.get().place.code == "SHELF"

    as_owner.post(path, {"seen": "SHELF", "out": "on", "because": "back to the maker"})
    assert Radio.objects.get().place is None


def test_where_a_radio_hangs_can_be_put_right_while_it_is_on_air(as_owner):
    period = make.service(make.mesh())
    as_owner.post(
        reverse("radio-where", args=[period.radio.code]), {"spot": "Hall, 2.1 m up", "breaker": "F4"}
    )
    radio = Radio.objects.get()
    assert (radio.spot, radio.breaker) == ("Hall, 2.1 m up", "F4")
