"""Sunrise and sunset at a place, good to about a minute between the polar circles.

The sun's upper edge touches the horizon when its centre stands at -0.833 degrees (refraction 34', half a disc 16').
Low-precision formulae of the Astronomical Almanac for the sun's place; recalled.
"""

from datetime import UTC, date, datetime, timedelta
from math import acos, asin, atan2, cos, degrees, radians, sin

from fleet.planning.reach import Position
from fleet.planning.visits.span import Span

HORIZON_DEGREES = -0.833
J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
A_DAY = timedelta(days=1)


def daylight(place: Position, day: date) -> Span | None:
    """From sunrise to sunset of a date's day by longitude; None where the sun stays down.

    Where the date line bends, that is not the date of the clock: ask for the days beside it too. Where the sun stays
    up, the whole day from solar midnight to the next.
    """
    noon = _solar_noon(place.longitude, day)
    turn = _half_day(place.latitude, noon)
    if turn is None:
        return None
    # Once more with the sun's place at that very moment: it moves on by up to half a minute of time.
    rise = noon - (_half_day(place.latitude, noon - turn) or turn)
    down = noon + (_half_day(place.latitude, noon + turn) or turn)
    return Span(rise, down)


def _solar_noon(longitude: float, day: date) -> datetime:
    mean = datetime(day.year, day.month, day.day, 12, tzinfo=UTC) - timedelta(minutes=4 * longitude)
    _, equation_minutes = _sun(mean)
    return mean - timedelta(minutes=equation_minutes)


def _half_day(latitude: float, moment: datetime) -> timedelta | None:
    declination, _ = _sun(moment)
    north = radians(max(-89.99, min(89.99, latitude)))
    height = sin(radians(HORIZON_DEGREES)) - sin(north) * sin(declination)
    cosine = height / (cos(north) * cos(declination))
    if cosine > 1:
        return None
    return A_DAY / 2 if cosine < -1 else timedelta(days=degrees(acos(cosine)) / 360)


def _sun(moment: datetime) -> tuple[float, float]:
    """The sun's declination in radians and the equation of time (apparent less mean) in minutes."""
    days = (moment - J2000) / A_DAY
    mean_longitude = (280.460 + 0.9856474 * days) % 360
    anomaly = radians((357.528 + 0.9856003 * days) % 360)
    longitude = radians(mean_longitude + 1.915 * sin(anomaly) + 0.020 * sin(2 * anomaly))
    tilt = radians(23.439 - 0.0000004 * days)
    ascension = degrees(atan2(cos(tilt) * sin(longitude), cos(longitude)))
    equation = (mean_longitude - ascension + 180) % 360 - 180
    return asin(sin(tilt) * sin(longitude)), 4 * equation
