"""The first lines of pages about visits and plans."""

from django.utils.formats import date_format

from fleet.models import PlanState, VisitState
from fleet.pages.writing import counted, spell
from fleet.queries.visits.pages import PlanShown, WantedVisit


def of_visits(wanted: list[WantedVisit], due: int) -> str:
    """How many are wanted, how many of them have a day, and what waits to be wanted."""
    placed = sum(each.stop is not None for each in wanted)
    waits = {0: "nothing else is due", 1: "one more trip is due"}.get(
        due, f"{counted(due)} more trips are due"
    )
    if not wanted:
        return f"No visit is wanted; {waits.replace(' else', '').replace(' more', '')}."
    told = "One visit is wanted" if len(wanted) == 1 else f"{counted(len(wanted))} visits are wanted"
    days = {0: "none has a day", len(wanted): "all have a day"}.get(placed, f"{counted(placed)} have a day")
    if len(wanted) == 1:
        days = "it has a day" if placed else "it has no day"
    return f"{told}, {days}; {waits}."


def of_visit(visit: WantedVisit) -> str:
    """Where one visit stands."""
    row = visit.row
    if row.state != VisitState.WANTED:
        return f"Visit {row.code} is {row.get_state_display().lower()}."
    if visit.stop is None:
        return f"Visit {row.code} is wanted and has no day yet."
    return f"{visit.stop.day.technician} makes visit {row.code} on {_day(visit.stop.day.day)}."


def of_plans(count: int, in_force: int) -> str:
    """How many plans there are, and whether people drive by any."""
    if not count:
        return "No plan was asked for yet: who drives where is nobody's plan."
    if not in_force:
        return "No plan is in force: nobody is sent anywhere."
    return "One plan is in force." if in_force == 1 else f"{counted(in_force)} plans are in force."


def of_plan(shown: PlanShown) -> str:
    """What the plan comes to, or how far it is."""
    row = shown.row
    days = (
        _day(row.first_day)
        if row.first_day == row.last_day
        else f"{_day(row.first_day)} to {_day(row.last_day)}"
    )
    if row.state == PlanState.FAILED:
        return f"{days} could not be planned: {row.refused}"
    found = _found(shown)
    if row.state == PlanState.WAITING:
        return f"{days} waits to be planned."
    if row.state == PlanState.WORKING:
        return (
            f"{days} is being planned: {found} so far."
            if row.answers
            else f"{days} is being planned: no answer yet."
        )
    return f"{days}: {found}."


def of_move(travel: int, late: int, overtime: int, broken: int, hard: int) -> str:
    """What a move by hand costs, and whether it can be made: hard are the broken rules that nobody may answer for."""
    if broken:
        rules = "a rule" if broken == 1 else f"{broken} rules"
        if hard:
            return f"This would break {rules}, so it cannot be made."
        which = "it" if broken == 1 else "them"
        return f"This would break {rules} of the home: somebody must answer for {which} by name."
    told = [_more(travel, "driving"), _more(late, "lateness"), _more(overtime, "overtime")]
    costs = [each for each in told if each]
    return f"This costs {', '.join(costs)}." if costs else "This costs nothing."


def _more(minutes: int, of: str) -> str:
    if not minutes:
        return ""
    return f"{spell(minutes)} more {of}" if minutes > 0 else f"{spell(-minutes)} less {of}"


def _found(shown: PlanShown) -> str:
    visits = "one visit" if shown.visits == 1 else f"{counted(shown.visits)} visits"
    left = len(shown.left_out)
    out = {0: "none left out", 1: "one left out"}.get(left, f"{counted(left)} left out")
    late = f", {spell(shown.late_minutes)} late in all" if shown.late_minutes else ""
    overdue = {0: "", 1: ", one overdue before"}.get(
        shown.overdue, f", {counted(shown.overdue)} overdue before"
    )
    return f"{visits} with {spell(shown.travel_minutes)} on the road, {out}{late}{overdue}"


def _day(day: object) -> str:
    return date_format(day, "j M Y")
