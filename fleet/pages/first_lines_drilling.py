"""The first lines of pages about drills."""

from fleet.models import DrillDraw
from fleet.planning.drilling.steps import WORDS
from fleet.queries.drilling.card import DrillCard
from fleet.queries.drilling.roster import Roster


def of_roster(roster: Roster) -> str:
    """How many homes were rehearsed in time, and whether a spare lies about that holds a live key."""
    if not roster.homes:
        return "No home is in care yet, so none was rehearsed."
    homes = "1 home was" if roster.homes == 1 else f"{roster.homes} homes were"
    told = f"{roster.homes_in_time} of {homes} rehearsed in time"
    if not roster.to_wipe:
        return f"{told}."
    spares = len(roster.to_wipe)
    return f"{told}; {f'{spares} spares hold' if spares > 1 else 'one spare holds'} a live key until wiped."


def of_draw(row: DrillDraw, drawn: int, is_same: bool) -> str:
    """What was drawn, and whether drawing again gives the same."""
    meshes = "One mesh was" if drawn == 1 else f"{drawn} meshes were"
    again = "drawn again from the same seed it is the same" if is_same else "drawn again it is NOT the same"
    return f"{meshes} drawn for {row.month:%Y-%m}; {again}."


def of_card(card: DrillCard) -> str:
    """At which step it is, or how it ended."""
    row, code = card.row, card.row.mesh.code
    if card.is_over:
        rest = f": {row.note.rstrip('.')}" if row.note else ""
        return f"The drill of {code} {'was aborted' if row.end == 'aborted' else row.end}{rest}."
    if card.current is None:
        return f"All steps of the drill of {code} are done: say how it ended."
    place = [stage.step for stage in card.stages].index(card.current.step) + 1
    return f"Step {place} of {len(card.stages)} for {code}: {WORDS[card.current.step].name.lower()}."
