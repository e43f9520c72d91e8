"""Two who must be two people: by their accounts, or by name where somebody sits at a terminal."""

import pytest

from fleet.verbs.two_people import Who, are_one
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def twins():
    return [make.person(username=name, first_name="Anna", last_name="Berg") for name in ("anna1", "anna2")]


def test_two_accounts_of_one_name_are_two_people(twins):
    first, second = map(Who.of, twins)

    assert (first, second) == ("Anna Berg", "Anna Berg")
    assert not are_one(first, second)


def test_one_account_is_one_person_whatever_it_is_called_by_now(twins):
    before = Who.of(twins[0])
    twins[0].last_name = "Berger"

    assert are_one(before, Who.of(twins[0]))


@pytest.mark.parametrize(("by", "one"), [("anna berg ", True), ("anna1", False), ("Orla", False)])
def test_a_name_from_a_terminal_counts_as_it_is_written(twins, by, one):
    assert are_one(by, Who.of(twins[1])) is one
