"""What the drills that were drawn by lot allow to be claimed (C16). Chosen ones prove nothing about the rest."""

from collections.abc import Iterable
from dataclasses import dataclass

from fleet.planning.drills import failing_share_upper
from fleet.planning.rates import binomial_lower

CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class DrawnLot:
    """One mesh that was drawn. passed: what its first drill since came to, None before there is one.

    is_late: a later month has begun since the draw; unevenness: of the draw it comes from.
    """

    passed: bool | None
    is_late: bool = False
    unevenness: float = 1.0


@dataclass(frozen=True, slots=True)
class Claim:
    """counted drawn meshes, of which failed failed; left_over of these were never drilled in their month.

    upper: the share that fails at most, with 95 %, weighted as the draws were; upper_unweighted: counting every mesh
    alike. Both are 1 where nothing can be claimed. waiting: drawn this month and not yet drilled; they count later.
    """

    counted: int
    failed: int
    left_over: int
    waiting: int
    upper: float
    upper_unweighted: float


def claim_of(drawn: Iterable[DrawnLot]) -> Claim:
    """A mesh that was drawn in an earlier month and not drilled counts as failed: else the hard ones could be left."""
    lots = list(drawn)
    counted = [lot for lot in lots if lot.passed is not None or lot.is_late]
    failed = sum(not lot.passed for lot in counted)
    upper = _upper(len(counted), failed)
    widest = max((lot.unevenness for lot in counted), default=1.0)
    return Claim(
        counted=len(counted),
        failed=failed,
        left_over=sum(lot.passed is None for lot in counted),
        waiting=len(lots) - len(counted),
        upper=upper,
        upper_unweighted=min(1.0, upper * widest),
    )


def _upper(drills: int, failed: int) -> float:
    if not failed:
        return failing_share_upper(drills, CONFIDENCE)
    return 1 - binomial_lower(drills - failed, drills, CONFIDENCE)
