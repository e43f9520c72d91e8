"""Which channel a mesh should be on, in words: the first line of its page on the air, and why."""

from fleet.mesh.channels import MOVE_ABOVE_DB
from fleet.queries.air import Air

SAME = 0.05  # a gain that would be shown as 0.0 dB


def of_air(air: Air) -> str:
    """Keep the channel or move to another; who moves where two meshes of the home share one."""
    mesh, advice = air.mesh, air.advice
    if advice is None:
        return f"Nobody can say which channel is best: that of {mesh.code} is not known."
    if advice.move:
        return f"Move {mesh.code} from channel {mesh.channel} to channel {advice.best.channel}."
    if air.together and air.mover is not mesh and air.mover is not None:
        return f"Leave {mesh.code} on channel {mesh.channel}, and move {air.mover.code} away from it."
    if air.survey is None:
        return f"Nobody has listened at {mesh.code} yet, so channel {mesh.channel} may be a good one or not."
    return f"Leave {mesh.code} on channel {mesh.channel}."


def because(air: Air) -> str:
    """How much better another channel would be, and what a move costs. Empty where there is nothing to weigh."""
    mesh, advice = air.mesh, air.advice
    if advice is None:
        return ""
    told = []
    if air.together and air.mover is not None:
        codes = ", ".join(each.code for each in air.together)
        fewest = f"{air.mover.code} has the fewest devices that sleep ({air.mover.sleepers}), so a move costs it least"
        told.append(f"{codes} of the same home is on channel {mesh.channel} too. {fewest}.")
    best, gain = advice.best.channel, advice.gain_db
    if best == mesh.channel or gain < SAME:
        told.append(f"No other channel would be better than {mesh.channel}.")
    elif advice.move:
        told.append(f"Channel {best} would be better by {gain:.1f} dB.")
    else:
        told.append(
            f"Channel {best} would be better by {gain:.1f} dB; a move pays from {MOVE_ABOVE_DB:.0f} dB on."
        )
    if best != mesh.channel and mesh.sleepers:
        devices = "One device sleeps" if mesh.sleepers == 1 else f"{mesh.sleepers} devices sleep"
        told.append(f"{devices}: a move strands some of them until each is woken by hand.")
    return " ".join(told)
