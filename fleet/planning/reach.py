"""How long a spare takes to a home: great circle, road factor, speeds (trade rows S2, S3).

Factor and speeds are common practice, no source. A great circle knows no water: for an island, give the
minutes that people know instead of these.
"""

import math
from dataclasses import dataclass

from fleet.planning.estimating import ThreePoints

MEAN_EARTH_RADIUS_KM = 6371.0088  # IUGG mean radius R1


class PositionError(ValueError):
    """A latitude or longitude out of range."""


@dataclass(frozen=True, slots=True)
class Position:
    """A place in decimal degrees, north and east positive (ISO 6709)."""

    latitude: float
    longitude: float

    def __post_init__(self) -> None:
        if not -90 <= self.latitude <= 90:
            raise PositionError(f"The latitude is {self.latitude}; it must lie between -90 and 90 degrees.")
        if not -180 <= self.longitude <= 180:
            raise PositionError(
                f"The longitude is {self.longitude}; it must lie between -180 and 180 degrees."
            )


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a way, up to so many road kilometres from its start, and its speeds in km/h."""

    up_to_km: float
    slow_kmh: float
    likely_kmh: float
    fast_kmh: float


ROAD_OVER_LINE = ThreePoints(1.2, 1.3, 1.5)
SET_OFF_MINUTES = ThreePoints(5, 10, 20)
STRETCHES = (Stretch(10, 20, 30, 40), Stretch(50, 35, 50, 70), Stretch(math.inf, 50, 75, 95))


@dataclass(frozen=True, slots=True)
class TravelProfile:
    """How ways and speeds are in a country: road over straight line, minutes to set off, speeds by stretch.

    The last stretch must have no end, and speeds must be more than 0 and not fall from slow to fast.
    """

    circuity: ThreePoints = ROAD_OVER_LINE
    set_off_minutes: ThreePoints = SET_OFF_MINUTES
    stretches: tuple[Stretch, ...] = STRETCHES


def great_circle_km(start: Position, end: Position) -> float:
    """The distance over the sphere by the haversine formula, good to 0.5 % on the real Earth."""
    north, south = math.radians(start.latitude), math.radians(end.latitude)
    across = math.radians(end.longitude - start.longitude)
    chord = math.sin((south - north) / 2) ** 2 + math.cos(north) * math.cos(south) * math.sin(across / 2) ** 2
    return 2 * MEAN_EARTH_RADIUS_KM * math.asin(math.sqrt(min(1.0, chord)))


def travel_minutes(straight_km: float, profile: TravelProfile | None = None) -> ThreePoints:
    """Minutes from door to door for a straight-line distance in km; none at all for a distance of 0."""
    if straight_km == 0:
        return ThreePoints(0, 0, 0)
    profile = profile or TravelProfile()
    road = profile.circuity.times(straight_km)
    stretches = profile.stretches
    driving = ThreePoints(
        _driving_minutes(road.low, [(part.up_to_km, part.fast_kmh) for part in stretches]),
        _driving_minutes(road.likely, [(part.up_to_km, part.likely_kmh) for part in stretches]),
        _driving_minutes(road.high, [(part.up_to_km, part.slow_kmh) for part in stretches]),
    )
    return profile.set_off_minutes + driving


def _driving_minutes(road_km: float, speeds: list[tuple[float, float]]) -> float:
    minutes = 0.0
    driven = 0.0
    for up_to_km, kmh in speeds:
        part = min(road_km, up_to_km) - driven
        if part <= 0:
            break
        minutes += part / kmh * 60
        driven += part
    return minutes
