"""Working facts from the terminal."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from fleet.models import JournalEntry
from sites.models import DayOff, Licence, Person, WorkingTime
from tests import make

pytestmark = pytest.mark.django_db


def run(*words):
    out = StringIO()
    call_command("people", *words, stdout=out)
    return out.getvalue()


@pytest.fixture(autouse=True)
def noor():
    return make.driver("noor")


def test_the_list_says_who_drives_out_with_hours_and_licences(noor):
    make.licence(noor, kind="mains")
    assert "noor" in run("list")
    (facts,) = json.loads(run("list", "noor", "--json"))
    assert (facts["why_not"], facts["has_base"], facts["licences"][0]["kind"]) == ("", True, "mains")
    assert sum(bool(day["hours"]) for day in facts["days"]) == 5
    assert "68.1" not in run("list", "--json")


def test_each_fact_is_written_down_and_told():
    run("hours", "noor", "monday=08:00-12:00,14:00-18:00", "tuesday=", "--by", "Orla")
    run("licence", "noor", "mains", "2031-01-01", "--since", "2026-01-01", "--by", "Orla")
    run("off", "noor", "2031-04-01", "2031-04-03", "--because", "Wedding", "--by", "Orla")
    run("base", "noor", "47.5615", "-52.7126", "--zone", "America/St_Johns", "--by", "Orla")
    (facts,) = json.loads(run("skills", "noor", "Locks", "heating", "--by", "Orla", "--json"))

    person = Person.objects.get()
    assert [str(row) for row in WorkingTime.objects.filter(weekday__lte=1)] == [
        "Monday 08:00-12:00",
        "Monday 14:00-18:00",
    ]
    assert WorkingTime.objects.count() == 5  # Wednesday to Friday stayed
    assert (facts["skills"], facts["zone"]) == (["heating", "locks"], "America/St_Johns")
    assert float(person.base_longitude) == -52.7126
    run("licence", "noor", "mains", "2031-01-01", "--strike", "--by", "Orla")
    run("off", "noor", "2031-04-01", "2031-04-03", "--strike", "--by", "Orla")
    assert not Licence.objects.exists()
    assert not DayOff.objects.exists()
    assert JournalEntry.objects.count() == 7


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("list", "pekka"), "USER pekka: there is no such person; there are: noor"),
        (("hours", "noor", "someday=08:00-12:00", "--by", "Orla"), "DAY=HOURS someday=08:00-12:00: right is"),
        (("hours", "noor", "monday=early", "--by", "Orla"), "Nothing was written. Monday: 'early'; right is"),
        (("licence", "noor", "mains", "soon", "--by", "Orla"), "LAST soon: right is a day"),
        (("licence", "noor", "m a", "2031-01-01", "--by", "Orla"), "kind: m a; Write one word"),
        (("licence", "noor", "gas", "2031-01-01", "--strike", "--by", "Orla"), "KIND gas: no such licence"),
        (("off", "noor", "2031-04-03", "2031-04-01", "--by", "Orla"), "The last day is before the first"),
        (("off", "noor", "2031-04-03", "--strike", "--by", "Orla"), "FIRST 2031-04-03: no days off"),
        (("base", "noor", "north", "0", "--by", "Orla"), "LATITUDE north: right is a number"),
        (("base", "noor", "10", "-", "--by", "Orla"), "Give both latitude"),
    ],
    ids=lambda value: None if isinstance(value, str) else " ".join(value[:3]),
)
def test_what_cannot_be_is_named_and_nothing_is_written(words, told):
    with pytest.raises(CommandError, match=told):
        run(*words)
    assert not JournalEntry.objects.exists()
