from datetime import date

import pytest

from reports.facts.errors import FactsError
from reports.facts.stretches import days_named, month_before, month_named, year_up_to

TODAY = date(2027, 3, 26)
BEGINS = date(2026, 5, 20)


@pytest.mark.parametrize(
    ("today", "first", "last"),
    [
        (TODAY, date(2027, 2, 1), date(2027, 2, 28)),
        (date(2027, 1, 1), date(2026, 12, 1), date(2026, 12, 31)),
        (date(2028, 3, 1), date(2028, 2, 1), date(2028, 2, 29)),
    ],
)
def test_the_last_whole_month(today, first, last):
    assert month_before(today) == (first, last)


def test_a_month_is_named_as_year_and_month():
    assert month_named(" 2026-12 ", TODAY, BEGINS) == (date(2026, 12, 1), date(2026, 12, 31))


@pytest.mark.parametrize("text", ["", "2027", "02-2027", "2027-13", "2027-W08", "February", "2027-02-01"])
def test_what_is_no_month_is_refused_with_one_that_would_be_right(text):
    with pytest.raises(FactsError, match=f"month: “{text}” is no month; write one such as 2027-02"):
        month_named(text, TODAY, BEGINS)


@pytest.mark.parametrize("text", ["2027-03", "2031-01", "9999-12"])
def test_a_month_that_is_not_over_is_refused(text):
    with pytest.raises(FactsError, match=f"{text} is not over; the last whole month is 2027-02"):
        month_named(text, TODAY, BEGINS)


@pytest.mark.parametrize(
    ("today", "first"), [(TODAY, date(2026, 3, 26)), (date(2028, 2, 29), date(2027, 3, 1))]
)
def test_the_year_up_to_yesterday(today, first):
    assert year_up_to(today)[0] == first
    assert (today - year_up_to(today)[1]).days == 1


def test_without_days_the_year_up_to_yesterday_is_meant():
    assert days_named("", "", TODAY) == (date(2026, 3, 26), date(2027, 3, 25))


def test_from_alone_goes_on_to_yesterday():
    assert days_named("2027-01-01", "", TODAY) == (date(2027, 1, 1), date(2027, 3, 25))


def test_until_alone_takes_the_year_before_it():
    assert days_named("", "2026-12-31", TODAY) == (date(2026, 1, 1), date(2026, 12, 31))


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        ("soon", "", "from: “soon” is no day; write one such as 2026-03-26"),
        ("", "31.12.2026", "until: “31.12.2026” is no day; write one such as 2027-03-25"),
        ("", "2027-03-26", "until: 2027-03-26 is not over; the last whole day is 2027-03-25"),
        ("2027-02-01", "2027-01-31", "from: 2027-02-01 lies after until, 2027-01-31"),
        ("2020-01-01", "", "from: 2020-01-01 to 2027-03-25 are 2641 days; at most 1096 fit in one pack"),
    ],
)
def test_wrong_days_are_refused_by_name_with_what_would_be_right(first, last, said):
    with pytest.raises(FactsError) as caught:
        days_named(first, last, TODAY)
    assert said in str(caught.value)


@pytest.mark.parametrize("text", ["0001-01", "1999-01", "2026-04"])
def test_a_month_before_the_book_is_refused_with_what_may_be_chosen(text):
    with pytest.raises(
        FactsError, match=f"month: {text} lies before the book.*; right is 2026-05 to 2027-02"
    ):
        month_named(text, TODAY, BEGINS)


def test_the_month_in_which_the_book_begins_is_one():
    assert month_named("2026-05", TODAY, BEGINS)[0] == date(2026, 5, 1)


@pytest.mark.parametrize(("begins", "said"), [(None, "is empty"), (date(2027, 3, 2), "begins on 2027-03-02")])
def test_a_young_book_has_no_month_yet(begins, said):
    with pytest.raises(FactsError, match=f"month: the book {said}; its first month"):
        month_named("2027-02", TODAY, begins)


@pytest.mark.parametrize("first", ["0001-01-01", "1969-12-31"])
def test_days_too_far_back_are_refused(first):
    with pytest.raises(FactsError, match=f"from: {first} lies too far back; right is 1970-01-01 to"):
        days_named(first, "", TODAY)
    with pytest.raises(FactsError, match=f"until: {first} lies too far back"):
        days_named("", first, TODAY)
