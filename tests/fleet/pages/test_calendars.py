"""A technician's calendar: its address, what it tells and keeps to itself, and how it goes on when plans change."""

import logging
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
import vobject
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fleet.config.unlogged import WithoutKeys
from fleet.models import FeedEvent, FeedToken, JournalEntry, PlanDay, PlanStop
from fleet.pages.calendars import body_of
from fleet.verbs import feeds
from sites.models import Role
from tests import make

pytestmark = pytest.mark.django_db

NONE = timedelta(0)
HOUR = timedelta(hours=1)
# Each half an hour before the clock there changes in 2027, and where the sun never heard of it.
CHANGES = {
    "Europe/Oslo": datetime(2027, 3, 28, 0, 30, tzinfo=UTC),
    "Pacific/Chatham": datetime(2027, 4, 3, 13, 30, tzinfo=UTC),
    "America/St_Johns": datetime(2027, 11, 7, 4, 0, tzinfo=UTC),
    "Asia/Kathmandu": datetime(2027, 3, 28, 0, 30, tzinfo=UTC),
}


@pytest.fixture
def noor():
    return make.person(username="noor", first_name="Noor", last_name="Vantongeren")


@pytest.fixture
def token(noor):
    """The row and its text."""
    return feeds.make(noor, "Noor", make.NOW)


def stop(visit, person, begin, **given):
    """An hour of work that a plan in force has for somebody."""
    row = make.visit_plan()
    day = PlanDay.objects.create(
        plan=row,
        technician=person,
        day=begin.date(),
        leave_at=begin - HOUR,
        back_at=begin + 2 * HOUR,
        last_pause=NONE,
        overtime=NONE,
        in_force=True,
    )
    times = {"leave_at": begin - HOUR, "arrive_at": begin, "begin_at": begin, "end_at": begin + HOUR}
    plain = {"number": 1, "pause": NONE, "late": NONE, "in_force": True}
    return PlanStop.objects.create(day=day, visit=visit, **{**plain, **times, **given})


def read(body):
    return list(icalendar.Calendar.from_ical(body).walk("VEVENT"))


def ask(text, **headers):
    return Client().get(reverse("calendar-feed"), {"key": text}, headers=headers)


@pytest.mark.parametrize("zone", list(CHANGES))
@pytest.mark.parametrize("halves", [0, 1, 2, 3])
def test_two_parsers_read_each_visit_to_the_minute_across_a_clock_change(noor, token, zone, halves):
    begin = CHANGES[zone] + halves * HOUR / 2
    stop(make.visit(make.site(code="KELP-7", time_zone=zone)), noor, begin)

    body = body_of(token[0], make.NOW)

    one = read(body)[0]
    other = vobject.readOne(body.decode()).vevent
    assert one["DTSTART"].dt == other.dtstart.value == begin
    assert one["DTEND"].dt == other.dtend.value == begin + HOUR
    there = begin.astimezone(ZoneInfo(zone))
    assert f"{there:%Y-%m-%d %H:%M} at the home ({zone})" in str(one["DESCRIPTION"])


def test_it_tells_the_home_code_the_kind_of_work_and_the_colleague_and_nothing_of_the_client(noor, token):
    client = make.client(name="Ingunn Sæther", phone="+44 1632 960201", email="ingunn@saether.example")
    home = make.site(
        code="KELP-7", client=client, name="Boathouse", address_lines="Tangveien 7", way_in="Halvard opens"
    )
    pekka = make.person(username="pekka", first_name="Pekka", last_name="Laine-Osei")
    stop(make.visit(home), noor, make.NOW + HOUR, second=pekka)

    body = body_of(token[0], make.NOW).decode().replace("\r\n ", "")

    assert "SUMMARY:KELP-7 other" in body
    assert "Together with Pekka Laine-Osei" in body
    kept = ["Sæther", "Ingunn", "960201", "saether", "Boathouse", "Tangveien", "Halvard", "hall lamp"]
    assert [word for word in kept if word in body] == []
    assert token[1] not in body


def test_only_stops_in_force_and_of_this_person_are_told(noor, token):
    stop(make.visit(), noor, make.NOW + HOUR, in_force=False)
    stop(make.visit(), make.person(), make.NOW + HOUR)
    assert read(body_of(token[0], make.NOW)) == []


def test_a_visit_that_moves_keeps_its_uid_and_its_sequence_grows(noor, token):
    row = stop(make.visit(), noor, make.NOW + 24 * HOUR)
    (before,) = read(body_of(token[0], make.NOW))
    PlanStop.objects.filter(pk=row.pk).update(begin_at=row.begin_at + HOUR / 2)

    (after,) = read(body_of(token[0], make.NOW + HOUR))

    assert (before["UID"], before["SEQUENCE"]) == (after["UID"], 0)
    assert (after["SEQUENCE"], after["DTSTAMP"].dt) == (1, make.NOW + HOUR)


def test_a_visit_that_is_gone_stays_cancelled_and_may_come_back(noor, token):
    row = stop(make.visit(), noor, make.NOW + 24 * HOUR)
    body_of(token[0], make.NOW)
    PlanStop.objects.filter(pk=row.pk).update(in_force=False)
    (gone,) = read(body_of(token[0], make.NOW + HOUR))
    PlanStop.objects.filter(pk=row.pk).update(in_force=True)
    (back,) = read(body_of(token[0], make.NOW + 2 * HOUR))

    assert [(each["STATUS"], each["SEQUENCE"]) for each in (gone, back)] == [
        ("CANCELLED", 1),
        ("CONFIRMED", 2),
    ]


def test_a_visit_that_is_over_stays_as_it_was_told_for_a_month(noor, token):
    row = stop(make.visit(), noor, make.NOW + HOUR)
    body_of(token[0], make.NOW)
    PlanStop.objects.filter(pk=row.pk).update(in_force=False)

    (past,) = read(body_of(token[0], make.NOW + timedelta(days=2)))
    assert (past["STATUS"], past["SEQUENCE"]) == ("CONFIRMED", 0)
    assert read(body_of(token[0], make.NOW + timedelta(days=40))) == []


def test_a_visit_that_was_over_and_comes_again_goes_on_with_its_sequence(noor, token):
    row = stop(make.visit(), noor, make.NOW + HOUR)
    body_of(token[0], make.NOW)
    later = make.NOW + timedelta(days=3)
    PlanStop.objects.filter(pk=row.pk).update(
        arrive_at=later + HOUR, begin_at=later + HOUR, end_at=later + 2 * HOUR
    )
    (again,) = read(body_of(token[0], later))
    assert (again["SEQUENCE"], FeedEvent.objects.count()) == (1, 1)


def test_nothing_is_written_where_nothing_changed(noor, token, django_assert_num_queries):
    stop(make.visit(), noor, make.NOW + HOUR)
    first = body_of(token[0], make.NOW)
    with django_assert_num_queries(4):
        assert body_of(token[0], make.NOW + HOUR / 2) == first


def test_an_answer_carries_an_etag_and_nobody_may_store_it(noor, token):
    stop(make.visit(), noor, timezone.now() + 24 * HOUR)
    answer = ask(token[1])

    assert (answer.status_code, answer["Content-Type"]) == (200, "text/calendar; charset=utf-8")
    assert len(read(answer.content)) == 1
    assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("no-store, private", "no-referrer")
    again = ask(token[1], if_none_match=answer["ETag"])
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", answer["ETag"])
    assert again["Referrer-Policy"] == "no-referrer"
    stop(make.visit(), noor, timezone.now() + 72 * HOUR)
    assert ask(token[1], if_none_match=answer["ETag"]).status_code == 200


@pytest.mark.parametrize("case", ["unknown", "none", "ended", "renewed", "left", "access over"])
def test_an_address_that_is_good_no_more_opens_nothing(noor, token, case, caplog):
    text = {"unknown": "x" * 43, "none": ""}.get(case, token[1])
    if case == "ended":
        feeds.revoke(noor, "Orla", make.NOW)
    elif case == "renewed":
        feeds.make(noor, "Noor", make.NOW)
    elif case == "left":
        type(noor).objects.update(is_active=False)
    elif case == "access over":
        type(noor).objects.update(access_ends_on="2020-01-01")
    with caplog.at_level(logging.DEBUG):
        answer = ask(text)
    assert (answer.status_code, answer["Referrer-Policy"]) == (404, "no-referrer")
    assert b"opens nothing" in answer.content
    assert token[1] not in caplog.text + answer.content.decode()


def test_an_error_on_the_way_tells_the_log_and_the_reader_nothing_of_the_address(token, monkeypatch, caplog):
    def breaks(*_):
        raise RuntimeError("the shelf fell down")

    monkeypatch.setattr("fleet.pages.calendars.body_of", breaks)
    asked = Client(raise_request_exception=False)
    with caplog.at_level(logging.DEBUG):
        answer = asked.get(reverse("calendar-feed"), {"key": token[1]})
    assert answer.status_code == 500
    assert "the shelf fell down" in caplog.text
    assert token[1] not in caplog.text + answer.content.decode()


def test_the_access_log_of_the_web_server_holds_no_key():
    from gunicorn.config import Config
    from gunicorn.glogging import Logger, SafeAtoms

    log = Logger(Config())
    said = []
    handler = logging.Handler()
    handler.emit = lambda record: said.append(record.getMessage())
    log.access_log.addHandler(handler)
    log.access_log.setLevel(logging.INFO)
    try:
        log.access_log.info(
            log.cfg.access_log_format, SafeAtoms({"r": "GET /calendar.ics?key=Ab-9_ HTTP/1.1"})
        )
    finally:
        log.access_log.removeHandler(handler)
    assert any(isinstance(each, WithoutKeys) for each in logging.getLogger("gunicorn.access").filters)
    assert "GET /calendar.ics?key=... HTTP/1.1" in said[0]


def test_an_address_is_shown_once_to_its_own_person_and_kept_as_a_digest(client, noor):
    client.force_login(noor)
    shown = client.post(reverse("calendar-make", args=["noor"]))
    text = shown.content.decode().split("?key=")[1][:43]

    assert "no-store" in shown["Cache-Control"]
    assert bytes(FeedToken.objects.get().digest) != text.encode()
    assert ask(text).status_code == 200
    lines = list(JournalEntry.objects.values_list("what", "details"))
    assert lines == [("calendar address made", {"person": "noor"})]
    page = client.get(reverse("person", args=["noor"])).content.decode()
    assert text not in page
    assert "Renew the address" in page


def test_others_make_no_address_and_the_office_may_end_one(client, noor, token):
    technician, office = make.person(), make.person(role=Role.OFFICE)
    client.force_login(technician)
    answers = [client.post(reverse(f"calendar-{act}", args=["noor"])).status_code for act in ("make", "end")]
    assert answers == [404, 404]
    client.force_login(office)
    assert client.post(reverse("calendar-make", args=["noor"])).status_code == 403
    assert client.post(reverse("calendar-end", args=["noor"])).status_code == 302
    assert ask(token[1]).status_code == 404
    assert FeedToken.objects.get().revoked_by == str(office)


def test_asking_needs_no_account_and_is_noted_once_an_hour(noor, token):
    ask(token[1])
    first = FeedToken.objects.get().last_used_at
    ask(token[1])
    assert first is not None
    assert FeedToken.objects.get().last_used_at == first
