"""Why a mesh that is not covered would stay in its state all the same, as far as the gates tell."""

from collections.abc import Sequence

from fleet.planning.compatibility import Verdict
from fleet.planning.messages.phrases import FAILED, UNKNOWN
from fleet.planning.readiness import GateName, Readiness, SpareFacts, State

FAR = "far"
NO_FIT = "no fit"
OF_SPARES = (GateName.SPARE, GateName.IN_TIME)


def kept_back(after: Readiness, added: Sequence[SpareFacts], is_any_of_its_kind: bool | None) -> str:
    """FAR, NO_FIT, or the failed gate in words; empty where the mesh is covered or the gates do not tell.

    added: those of the supposed spares that were weighed for this mesh. is_any_of_its_kind: whether any added spare
    is of the family in service; None where no spare is added.
    """
    gate = after.first_failing
    if gate is None or is_any_of_its_kind is None or gate not in OF_SPARES:
        said = UNKNOWN if after.state is State.UNKNOWN else FAILED
        return said.get(gate, "") if gate else ""
    if not added:
        return "" if is_any_of_its_kind else NO_FIT
    if all(spare.verdict is Verdict.NO for spare in added):
        return NO_FIT
    return FAR if nearest(added) else ""


def nearest(added: Sequence[SpareFacts]) -> float | None:
    """Minutes to the nearest of those that fit; None where no way is known or one lies in the home."""
    ways = [spare.reach_minutes for spare in added if spare.verdict is not Verdict.NO]
    known = [way for way in ways if way is not None]
    return min(known, default=None) or None
