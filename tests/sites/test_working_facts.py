"""Working hours, days off, licences and bases, from rows to what a plan takes."""

from datetime import date, time, timedelta

import pytest
from django.db import IntegrityError

from sites.models import DayOff, Licence, Skill, WorkingTime
from sites.queries import licence_until, licensed_on, working_facts
from tests import make

pytestmark = pytest.mark.django_db

MONDAY = date(2027, 3, 22)
SUNDAY = MONDAY + timedelta(days=6)


@pytest.fixture
def noor():
    return make.person(username="noor", time_zone="Europe/Oslo", base_latitude="68.2", base_longitude="14.5")


def facts_of(person, first=MONDAY, last=SUNDAY):
    return working_facts([person], first, last)[person.pk]


def test_facts_hold_hours_licences_skills_and_the_base(noor):
    make.working_week(noor)
    make.licence(noor, kind="ladder", valid_until=date(2027, 6, 1))
    Skill.objects.create(person=noor, name="locks")

    facts = facts_of(noor)

    assert [span.begin.hour for span in facts.stretches] == [7] * 5
    assert (facts.licences[0].kind, facts.licences[0].valid_from) == ("ladder", date.min)
    assert facts.skills == {"locks"}
    assert (facts.base.latitude, facts.base.longitude) == (68.2, 14.5)


def test_hours_follow_the_clock_when_it_changes(noor):
    WorkingTime.objects.create(person=noor, weekday=6, begins=time(8), ends=time(16))
    before, after = facts_of(noor, SUNDAY - timedelta(days=7), SUNDAY).stretches
    assert (before.begin.hour, after.begin.hour) == (7, 6)


def test_without_a_zone_of_their_own_the_firms_counts():
    make.firm(time_zone="Asia/Kathmandu")
    person = make.person()
    make.working_week(person)
    facts = facts_of(person)
    assert facts.zone.key == "Asia/Kathmandu"
    assert facts.stretches[0].begin.strftime("%H:%M") == "02:15"
    assert facts.base is None


def test_nobody_works_on_days_off_or_after_their_access(noor):
    make.working_week(noor)
    DayOff.objects.create(person=noor, first_day=MONDAY - timedelta(days=9), last_day=MONDAY)
    noor.access_ends_on = MONDAY + timedelta(days=2)
    assert [span.begin.date() for span in facts_of(noor).stretches] == [
        MONDAY + timedelta(days=1),
        MONDAY + timedelta(days=2),
    ]


def test_whoever_left_the_firm_works_no_more(noor):
    make.working_week(noor)
    noor.is_active = False
    assert facts_of(noor).stretches == ()


@pytest.mark.parametrize("count", [1, 4])
def test_facts_take_the_same_statements_however_many_they_are(count, django_assert_num_queries):
    people = [make.person() for _ in range(count)]
    for person in people:
        make.working_week(person)
        make.licence(person)
    with django_assert_num_queries(5):
        working_facts(people, MONDAY, SUNDAY)


def test_a_licence_counts_from_its_first_day_to_its_last(noor):
    make.licence(noor, valid_from=date(2027, 3, 1), valid_until=date(2027, 3, 31))
    days = [date(2027, 2, 28), date(2027, 3, 1), date(2027, 3, 31), date(2027, 4, 1)]
    assert [licensed_on("mains", day).count() for day in days] == [0, 1, 1, 0]
    assert licence_until(noor, "mains", days[0]) is None
    assert licence_until(noor, "mains", days[3]) == date(2027, 3, 31)


def test_a_renewed_licence_counts_once_and_by_its_last_day(noor):
    make.licence(noor, valid_until=date(2027, 3, 31))
    make.licence(noor, valid_until=date(2029, 3, 31))
    assert list(licensed_on("mains", MONDAY)) == [noor]
    assert licence_until(noor, "mains", MONDAY) == date(2029, 3, 31)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda person: WorkingTime.objects.create(person=person, weekday=7, begins=time(8), ends=time(9)),
        lambda person: WorkingTime.objects.create(person=person, weekday=0, begins=time(9), ends=time(8)),
        lambda person: DayOff.objects.create(person=person, first_day=SUNDAY, last_day=MONDAY),
        lambda person: Licence.objects.create(
            person=person, kind="mains", valid_from=SUNDAY, valid_until=MONDAY
        ),
        lambda person: Licence.objects.create(person=person, kind="", valid_until=MONDAY),
        lambda person: type(person).objects.filter(pk=person.pk).update(base_latitude=None),
        lambda person: type(person).objects.filter(pk=person.pk).update(base_latitude=91),
    ],
    ids=["weekday", "hours", "days off", "licence", "no kind", "half a base", "off the earth"],
)
def test_the_database_refuses_what_cannot_be(noor, wrong):
    with pytest.raises(IntegrityError):
        wrong(noor)
