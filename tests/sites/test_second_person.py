"""Somebody else agrees by user name and password, and nobody guesses at it."""

from datetime import date

import pytest

from sites import access
from sites.forms import SecondPerson
from sites.models import Role
from tests import make

pytestmark = pytest.mark.django_db
TODAY = date(2027, 3, 26)


@pytest.fixture
def second():
    return make.person(username="pekka")


def form(first, name, password, **given):
    return SecondPerson({"second_name": name, "second_password": password}, first=first, today=TODAY, **given)


def test_another_person_of_the_firm_may_agree(technician, second):
    asked = form(technician, "pekka", make.PASSWORD)

    assert asked.is_valid()
    assert asked.cleaned_data["second"] == second


def test_nobody_agrees_with_themselves(technician):
    assert "somebody other than you" in str(form(technician, "noor", make.PASSWORD).errors)


@pytest.mark.parametrize(
    ("name", "password"), [("pekka", "wrong"), ("nobody", make.PASSWORD), ("pekka", make.PASSWORD.upper())]
)
def test_a_wrong_name_or_password_is_refused_without_saying_which(technician, second, name, password):
    told = str(form(technician, name, password).errors)

    assert "No such person with this password" in told
    assert password not in told


@pytest.mark.parametrize(
    "who", [{"access_ends_on": date(2027, 3, 25)}, {"role": Role.SUBCONTRACTOR, "access_ends_on": TODAY}]
)
def test_somebody_who_may_not_change_the_book_may_not_agree(technician, who):
    make.person(username="leaver", **who)

    assert not form(technician, "leaver", make.PASSWORD).is_valid()


def test_both_fields_may_stay_empty_where_nobody_must_agree(technician):
    asked = form(technician, "", "", needed=False)

    assert asked.is_valid()
    assert asked.cleaned_data["second"] is None


def test_the_sixth_wrong_try_is_not_even_looked_at(technician, second):
    for _ in range(access.WRONG_TRIES):
        assert access.second_person(technician, "pekka", "wrong") is None

    with pytest.raises(access.TooManyTries, match="Wait a quarter of an hour"):
        access.second_person(technician, "pekka", make.PASSWORD)
    assert "Wait a quarter of an hour" in str(form(technician, "pekka", make.PASSWORD).errors)


def test_wrong_tries_of_one_are_not_held_against_another(technician, second):
    for _ in range(access.WRONG_TRIES):
        access.second_person(technician, "pekka", "wrong")

    assert access.second_person(make.person(), "pekka", make.PASSWORD) == second


def test_right_tries_do_not_count(technician, second):
    for _ in range(3 * access.WRONG_TRIES):
        assert access.second_person(technician, "pekka", make.PASSWORD) == second


def test_a_right_try_forgives_no_wrong_one(technician, second):
    for _ in range(access.WRONG_TRIES):
        access.second_person(technician, "pekka", make.PASSWORD)
        access.second_person(technician, "pekka", "wrong")

    with pytest.raises(access.TooManyTries):
        access.second_person(technician, "pekka", make.PASSWORD)
