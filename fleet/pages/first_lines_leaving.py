"""The first line of the list of agreements that end."""

from fleet.planning.standing import ENDING_SOON_DAYS
from fleet.queries.leaving import Leaving


def of_leavings(rows: list[Leaving]) -> str:
    """How many end within 90 days, and how many steps are due today."""
    if not rows:
        return f"No agreement ends within {ENDING_SOON_DAYS} days."
    ends = "One agreement ends" if len(rows) == 1 else f"{len(rows)} agreements end"
    due = sum(row.due for row in rows)
    if not due:
        return f"{ends} within {ENDING_SOON_DAYS} days; no step is due today."
    return f"{ends} within {ENDING_SOON_DAYS} days; {'one step is' if due == 1 else f'{due} steps are'} due."
