"""How long ways take: the matrix that the firm uploaded, and the great circle where it has none."""

from collections.abc import Mapping
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from fleet.models import TravelMatrix
from fleet.planning.visits.matrix import ByMatrix, missing_ways
from fleet.planning.visits.reading_matrix import Band, Matrix, Way, read_matrix
from fleet.planning.visits.travel import ByRoad, Hours, Travel
from sites.models import Person, Site
from sites.queries import firm_zone


@dataclass(frozen=True, slots=True)
class SlowHours:
    """A band of hours, its pace (1 is a free road), and the way that is told wrongest by it, with the minutes."""

    band: Band
    pace: float
    way: Way
    off: float


@dataclass(frozen=True, slots=True)
class MatrixLook:
    """What a matrix would do, or does: its ways, slow hours, and the ways of homes and bases that it lacks."""

    matrix: Matrix
    slow: tuple[SlowHours, ...]
    missing: tuple[Way, ...]

    @property
    def ways(self) -> int:
        """Ways with minutes of their own."""
        return len(self.matrix.pairs)


def travel_of_firm() -> Travel:
    """What a plan drives by: the matrix in force, and the great circle for each way that it lacks. Two statements."""
    zone = ZoneInfo(firm_zone())
    row = matrix_in_force()
    if row is None:
        return ByRoad(Hours(zone))
    matrix = read_matrix(row.text.encode())
    hours = matrix.hours(zone)
    return ByMatrix(hours, matrix.pairs, ByRoad(hours))


def matrix_in_force() -> TravelMatrix | None:
    """The one matrix that counts, or None. One statement."""
    return TravelMatrix.objects.filter(ended_at=None).first()


def look_at(octets: bytes) -> MatrixLook:
    """What this file would do; nothing is written. Raises MatrixError. Four statements."""
    homes, bases = _homes(), _bases()
    known = {code.casefold(): code for code in [*homes, *bases]}
    return _look(read_matrix(octets, known), homes, bases)


def look_at_row(row: TravelMatrix) -> MatrixLook:
    """What a matrix that was taken in does by the homes and bases of today."""
    return _look(read_matrix(row.text.encode()), _homes(), _bases())


def _look(matrix: Matrix, homes: Mapping[str, bool], bases: Mapping[str, bool]) -> MatrixLook:
    slow = tuple(_slow(matrix, band) for band in sorted(matrix.bands))
    needed = [code for code, counts in homes.items() if counts]
    starts = [name for name, counts in bases.items() if counts]
    return MatrixLook(matrix, slow, tuple(missing_ways(matrix.pairs, needed, starts)))


def _slow(matrix: Matrix, band: Band) -> SlowHours:
    way, off = matrix.departure(band)
    return SlowHours(band, matrix.pace(band), way, round(off, 1))


def _homes() -> dict[str, bool]:
    """Every home's code, and whether visits there can be planned: a mesh in care, and a position."""
    rows = Site.objects.filter(client__erased_at=None).prefetch_related("meshes").order_by("code")
    return {
        row.code: row.latitude is not None and any(mesh.in_care for mesh in row.meshes.all()) for row in rows
    }


def _bases() -> dict[str, bool]:
    """Every person's user name, and whether their days can begin anywhere: hours and a base are written down."""
    rows = Person.objects.filter(is_active=True).prefetch_related("working_times").order_by("username")
    return {row.username: row.base_latitude is not None and bool(row.working_times.all()) for row in rows}
