"""Writing working facts down: what is refused, and what the journal says and keeps to itself."""

from datetime import date, time

import pytest

from fleet.models import JournalEntry
from fleet.planning.visits.working import Weekly
from fleet.verbs.journal import record
from sites import verbs
from sites.models import DayOff, Licence, Person, Skill, WorkingTime
from tests import make

pytestmark = pytest.mark.django_db

DAY = date(2027, 3, 26)


@pytest.fixture
def noor():
    return make.person(username="noor")


def told():
    line = JournalEntry.objects.get()
    return line.what, line.details


def test_a_week_takes_the_place_of_the_one_before(noor):
    make.working_week(noor)
    verbs.set_hours(
        noor, [Weekly(2, time(14), time(18)), Weekly(2, time(8), time(12))], "Orla", make.NOW, record
    )
    assert [str(row) for row in noor.working_times.all()] == [
        "Wednesday 08:00-12:00",
        "Wednesday 14:00-18:00",
    ]
    assert told() == ("working hours changed", {"person": "noor", "days": ["Wednesday"]})


def test_hours_that_overlap_leave_the_week_as_it_was(noor):
    make.working_week(noor)
    overlap = [Weekly(0, time(8), time(12)), Weekly(0, time(11), time(13))]
    with pytest.raises(verbs.WorkingRefused, match="Monday: 08:00-12:00 and 11:00-13:00 overlap"):
        verbs.set_hours(noor, overlap, "Orla", make.NOW, record)
    assert WorkingTime.objects.count() == 5
    assert not JournalEntry.objects.exists()


def test_where_a_base_is_stays_out_of_the_journal(noor):
    noor.base_latitude, noor.base_longitude, noor.time_zone = "68.23420", "14.56870", "Europe/Oslo"
    verbs.set_base(noor, ["base_latitude", "base_longitude"], "Orla", make.NOW, record)
    assert str(Person.objects.get().base_latitude) == "68.23420"
    assert told() == (
        "base of a person changed",
        {"person": "noor", "fields": ["base_latitude", "base_longitude"]},
    )


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"base_latitude": "68.2"}, "Give both latitude"),
        ({"base_latitude": "91", "base_longitude": "0"}, "base latitude: 91; "),
        ({"time_zone": "UTC+2"}, "time zone: UTC.2; 'UTC.2' is no IANA time zone"),
    ],
    ids=["half", "off the earth", "no zone"],
)
def test_a_base_that_cannot_be_is_refused(noor, changes, words):
    for name, value in changes.items():
        setattr(noor, name, value)
    with pytest.raises(verbs.WorkingRefused, match=words):
        verbs.set_base(noor, [*changes], "Orla", make.NOW, record)
    assert Person.objects.get().base_latitude is None


def test_a_licence_is_written_down_and_struck_out_once(noor):
    row = Licence(person=noor, kind="mains", valid_until=DAY)
    verbs.give_licence(row, "Orla", make.NOW, record)
    assert told() == (
        "licence written down",
        {"person": "noor", "kind": "mains", "valid_from": None, "valid_until": "2027-03-26"},
    )
    held = Licence.objects.get()
    for _ in range(2):
        verbs.strike_licence(
            Licence(pk=held.pk, person=noor, kind="mains", valid_until=DAY), "Orla", make.NOW, record
        )
    assert list(JournalEntry.objects.values_list("what", flat=True)) == [
        "licence struck out",
        "licence written down",
    ]


@pytest.mark.parametrize(
    ("licence", "words"),
    [
        ({"kind": "Mains Work"}, "kind: Mains Work; Write one word of small letters"),
        ({"valid_from": date(2027, 4, 1)}, "ends before it begins"),
        ({}, "written down already"),
    ],
    ids=["kind", "days", "twice"],
)
def test_a_licence_that_cannot_be_is_refused(noor, licence, words):
    make.licence(noor, valid_until=DAY)
    row = Licence(**{"person": noor, "kind": "mains", "valid_until": DAY, **licence})
    with pytest.raises(verbs.WorkingRefused, match=words):
        verbs.give_licence(row, "Orla", make.NOW, record)
    assert Licence.objects.count() == 1


def test_skills_take_the_place_of_those_before_or_all_stay(noor):
    verbs.set_skills(noor, ["locks", "heating", "locks"], "Orla", make.NOW, record)
    with pytest.raises(verbs.WorkingRefused, match="name: Smoke!; Write one word"):
        verbs.set_skills(noor, ["roof", "Smoke!"], "Orla", make.NOW, record)
    assert list(Skill.objects.values_list("name", flat=True)) == ["heating", "locks"]


def test_the_reason_of_days_off_stays_out_of_the_journal(noor):
    row = DayOff(person=noor, first_day=DAY, last_day=DAY, reason="Wedding in Naxos")
    verbs.take_off(row, "Orla", make.NOW, record)
    verbs.strike_off(DayOff.objects.get(), "Orla", make.NOW, record)
    assert "Naxos" not in str(list(JournalEntry.objects.values_list("details", flat=True)))
    assert not DayOff.objects.exists()


@pytest.mark.parametrize(
    ("last", "words"),
    [
        (date(2027, 3, 25), "before the first"),
        (date(2029, 3, 25), "last day: 2029-03-25; right is at most 366"),
    ],
)
def test_days_off_that_cannot_be_are_refused(noor, last, words):
    with pytest.raises(verbs.WorkingRefused, match=words):
        verbs.take_off(DayOff(person=noor, first_day=DAY, last_day=last), "Orla", make.NOW, record)
    assert not DayOff.objects.exists()
