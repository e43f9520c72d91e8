"""The first lines of the pages about people: who can drive out in the days to come."""

from collections.abc import Iterable

from fleet.queries.people import DAYS_AHEAD, SOON_DAYS, Standing, Worker

MOST_NAMED = 6


def of_people(found: list[Worker]) -> str:
    """Who can drive out this week, and how many licences call for somebody."""
    out = [str(each.person) for each in found if each.can_drive]
    if not out:
        said = f"Nobody can drive out in the {DAYS_AHEAD} days from today"
    elif len(out) == 1:
        said = f"One can drive out in the {DAYS_AHEAD} days from today: {out[0]}"
    else:
        said = f"{len(out)} can drive out in the {DAYS_AHEAD} days from today: {_listed(out)}"
    licences = _licences(found)
    return f"{said}; {licences}." if licences else f"{said}."


def of_person(worker: Worker, mine: bool) -> str:
    """On how many of the days to come one person can drive out."""
    who = "You" if mine else str(worker.person)
    if not worker.can_drive:
        return f"{who} cannot be sent out in the {DAYS_AHEAD} days from today: {worker.why_not}."
    said = f"{who} can drive out on {worker.days_out} of the {DAYS_AHEAD} days from today"
    licences = _licences([worker])
    return f"{said}; {licences}." if licences else f"{said}."


def _licences(found: Iterable[Worker]) -> str:
    held = [each for worker in found for each in worker.licences]
    soon = sum(each.standing is Standing.SOON for each in held)
    ended = sum(each.standing is Standing.ENDED for each in held)
    told = [f"{_counted(soon)} {'ends' if soon == 1 else 'end'} within {SOON_DAYS} days"] if soon else []
    told += [f"{_counted(ended)} {'has' if ended == 1 else 'have'} ended"] if ended else []
    return " and ".join(told)


def _counted(count: int) -> str:
    return "one licence" if count == 1 else f"{count} licences"


def _listed(names: list[str]) -> str:
    if len(names) > MOST_NAMED:
        return f"{', '.join(names[:MOST_NAMED])} and {len(names) - MOST_NAMED} more"
    return f"{', '.join(names[:-1])} and {names[-1]}"
