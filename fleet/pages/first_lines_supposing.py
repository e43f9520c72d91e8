"""First lines of the pages where a change is supposed, and the figures that stand in their rows."""

from fleet.models import SupposedChange
from fleet.pages.writing import counted
from fleet.planning.supposing_words import ARROW, figure, headline, told_apart
from fleet.queries.supposals import Answer


def of_question() -> str:
    """What the page asks."""
    return "What if something were otherwise?"


def of_answer(answer: Answer) -> str:
    """The answer in one sentence, or how far it is."""
    row = answer.row
    if row.refused:
        return f"This could not be worked out: {row.refused}"
    if row.finished_at is None:
        return f"With {row.words}: {counted(row.done)} of {counted(row.total)} meshes judged so far."
    return headline(row.words, answer.tally)


def hours_of(change: SupposedChange) -> str:
    """The hours of a year of one mesh, before and after."""
    before, after = change.hours_before, change.hours_after
    if before is None or after is None:
        said = ("not counted" if value is None else figure(value) for value in (before, after))
        return ARROW.join(said) if before is not after else "not counted"
    return ARROW.join(told_apart(before, after)) if before != after else figure(before)
