"""Working days at a home: notice that falls on a free day must be given the working day before (trade rule C22).

Public holidays and the days of the week that are free come from the `holidays` library, by country.
"""

from datetime import date, timedelta
from functools import cache

import holidays

# A free stretch longer than this exists nowhere; it only bounds the search.
LONGEST_FREE_DAYS = 31


def is_working_day(day: date, country: str) -> bool:
    """Whether people work that day in a country (ISO 3166-1, two letters), regional holidays aside.

    A country that the library does not know has Saturday and Sunday free and no holidays.
    """
    calendar = _calendar(country)
    return day.weekday() < 5 if calendar is None else bool(calendar.is_working_day(day))


def working_day_by(day: date, country: str) -> date:
    """The day itself, or the last working day before it."""
    for back in range(LONGEST_FREE_DAYS):
        if is_working_day(day - timedelta(days=back), country):
            return day - timedelta(days=back)
    return day


@cache
def _calendar(country: str) -> holidays.HolidayBase | None:
    try:
        return holidays.country_holidays(country)
    except NotImplementedError:
        return None
