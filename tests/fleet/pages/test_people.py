"""Who works when: the list, one person's page and its forms, and who sees and changes what."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from fleet.models import JournalEntry
from fleet.pages import first_lines_people
from fleet.queries.people import Standing, workers
from sites.models import DayOff, Licence, Person, Role, Skill, WorkingTime
from tests import make
from tests.fleet.pages.words import words_of

pytestmark = pytest.mark.django_db

MONDAY_MORNING = make.NOW + timedelta(days=3)  # 29 March 2027, the day after Europe's clocks changed


@pytest.fixture
def noor():
    return make.driver("noor", first_name="Noor", last_name="Vantongeren")


def line(people, now=make.NOW):
    return first_lines_people.of_people(workers(people, now))


def post(client, name, data, *args):
    return client.post(reverse(name, args=["noor", *args]), data)


def test_the_first_line_says_who_can_drive_out(noor):
    pekka = make.driver("pekka", first_name="Pekka")
    homeless = make.person(first_name="Lucía")
    make.working_week(homeless)
    assert line([noor, pekka, homeless]) == (
        "2 can drive out in the 7 days from today: Noor Vantongeren and Pekka."
    )


def test_nobody_who_is_off_all_week_can(noor):
    DayOff.objects.create(person=noor, first_day=date(2027, 3, 20), last_day=date(2027, 4, 10))
    assert line([noor]) == "Nobody can drive out in the 7 days from today."
    (worker,) = workers([noor], make.NOW)
    assert worker.why_not == "no working hours in these days"
    assert all(day.is_off for day in worker.days)


def test_the_first_line_counts_licences_by_the_newest_of_each_kind(noor):
    today = make.NOW.date()
    for kind, days in (("mains", -400), ("mains", 400), ("ladder", 60), ("gas", -1), ("roof", 61)):
        make.licence(noor, kind=kind, valid_until=today + timedelta(days=days))
    assert line([noor]).endswith("; one licence ends within 60 days and one licence has ended.")
    (worker,) = workers([noor], make.NOW)
    assert {each.row.kind: each.standing for each in worker.licences} == {
        "gas": Standing.ENDED,
        "ladder": Standing.SOON,
        "mains": Standing.HOLDS,
        "roof": Standing.HOLDS,
    }


def test_today_is_that_of_the_persons_own_clock():
    far = make.driver("mere", time_zone="Pacific/Chatham")
    (worker,) = workers([far], make.NOW.replace(hour=20))
    assert worker.days[0].day == date(2027, 3, 27)


@pytest.mark.parametrize("count", [1, 4])
def test_the_list_takes_the_same_statements_however_long_it_is(count, django_assert_num_queries):
    people = [make.driver(f"driver{number}") for number in range(count)]
    with django_assert_num_queries(7):
        workers(people, make.NOW)


def test_the_office_sees_everybody_and_a_technician_themself(client, noor):
    make.driver("pekka", first_name="Pekka")
    office = make.person(role=Role.OFFICE, first_name="Tomasz")
    client.force_login(office)
    assert "Pekka" in client.get(reverse("people")).content.decode()
    assert client.get(reverse("person", args=["pekka"])).status_code == 200
    client.force_login(noor)
    told = words_of(client.get(reverse("people")).content.decode())
    assert "You can drive out on " in told
    assert "Pekka" not in told
    assert client.get(reverse("person", args=["noor"])).status_code == 200
    assert client.get(reverse("person", args=["pekka"])).status_code == 404


POSTS = ["hours", "base", "licence", "off", "skills"]


@pytest.mark.parametrize(
    ("who", "status"),
    [("self", 403), ("technician", 404), ("partner", 404), ("leaver", 404), ("nobody", 302)],
)
def test_only_the_office_and_the_owner_change_anything(client, noor, who, status):
    people = {
        "self": lambda: noor,
        "technician": make.person,
        "partner": make.subcontractor,
        "leaver": lambda: make.person(role=Role.OWNER, access_ends_on="2020-01-01"),
    }
    if who != "nobody":
        client.force_login(people[who]())
    held, off = make.licence(noor), DayOff.objects.create(person=noor, first_day=make.NOW, last_day=make.NOW)
    answers = [post(client, f"person-{name}", {}).status_code for name in POSTS]
    answers += [post(client, "person-licence-strike", {}, held.pk).status_code]
    answers += [post(client, "person-off-strike", {}, off.pk).status_code]
    assert set(answers) == {status}
    assert (WorkingTime.objects.count(), Licence.objects.count(), DayOff.objects.count()) == (5, 1, 1)


def test_pages_of_others_do_not_exist_for_whose_access_ended(client, noor):
    client.force_login(make.person(role=Role.OWNER, access_ends_on="2020-01-01"))
    assert [
        client.get(reverse("people")).status_code,
        client.get(reverse("person", args=["noor"])).status_code,
    ] == [
        404,
        404,
    ]


def test_the_office_writes_everything_down(as_owner, noor):
    forms = {
        "hours": {"monday": "08:00-12:00, 14:00-18:00", "sunday": ""},
        "base": {"base_latitude": "68.2", "base_longitude": "14.5", "time_zone": "Europe/Oslo"},
        "licence": {"kind": "mains", "valid_from": "", "valid_until": "2031-01-01"},
        "off": {"first_day": "2031-01-01", "last_day": "2031-01-05", "reason": "Wedding"},
        "skills": {"names": "Locks, heating"},
    }
    for name, data in forms.items():
        assert post(as_owner, f"person-{name}", data).status_code == 302, name

    assert [str(row) for row in WorkingTime.objects.all()] == ["Monday 08:00-12:00", "Monday 14:00-18:00"]
    assert str(Person.objects.get(username="noor").base_latitude) == "68.20000"
    assert Licence.objects.get().kind == "mains"
    assert sorted(Skill.objects.values_list("name", flat=True)) == ["heating", "locks"]
    assert JournalEntry.objects.count() == 5
    post(as_owner, "person-licence-strike", {}, Licence.objects.get().pk)
    post(as_owner, "person-off-strike", {}, DayOff.objects.get().pk)
    assert not Licence.objects.exists()
    assert not DayOff.objects.exists()


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("hours", {"monday": "nine to five"}, "Monday: 'nine to five'; right is a time to a time"),
        ("base", {"base_latitude": "68.2"}, "Give both latitude"),
        ("licence", {"kind": "Mains work", "valid_until": "2031-01-01"}, "Write one word of small letters"),
        ("licence", {"kind": "mains", "valid_until": ""}, "This field is required"),
        ("off", {"first_day": "2031-01-05", "last_day": "2031-01-01"}, "The last day is before the first"),
        ("skills", {"names": "locks, two words"}, "two words; Write one word"),
    ],
    ids=["hours", "base", "kind", "last day", "days off", "skills"],
)
def test_what_cannot_be_is_told_beside_its_form_and_nothing_is_written(as_owner, noor, name, data, told):
    answer = post(as_owner, f"person-{name}", data)
    assert answer.status_code == 422
    assert told in words_of(answer.content.decode())
    assert not JournalEntry.objects.exists()


def test_a_licence_of_another_person_is_not_struck_out_here(as_owner, noor):
    other = make.licence(make.person())
    assert post(as_owner, "person-licence-strike", {}, other.pk).status_code == 404
    assert Licence.objects.exists()


def test_what_people_typed_stands_there_as_text(as_owner, noor):
    today = timezone.localdate()
    DayOff.objects.create(person=noor, first_day=today, last_day=today, reason="<b>x</b>")
    assert "&lt;b&gt;x&lt;/b&gt;" in as_owner.get(reverse("person", args=["noor"])).content.decode()
