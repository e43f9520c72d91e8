"""The fixed words of an evidence pack for what the book knows by a code."""

from reports.drawing import words
from reports.drawing.language import _, later, many
from reports.facts.evidence import Lack, NotShown

DRILLS = {
    "paper": later("walk-through on paper"),
    "bench": later("write to a spare on the bench"),
    "live": later("live swap"),
}
ENDED = {
    "failed": later("failed"),
    "upgrade": later("upgrade"),
    "precaution": later("as a precaution"),
    "theft": later("theft"),
    "ended": later("agreement ended"),
}
SWAPPED = {
    "asked": later("asked for"),
    "agreed": later("agreed"),
    "packed": later("packed"),
    "arrived": later("arrived"),
    "silenced": later("OLD RADIO SILENCED"),
    "written": later("NEW RADIO WRITTEN"),
    "waking": later("devices waking"),
    "accepted": later("accepted"),
    "closed": later("accepted and closed"),
    "backing_out": later("BACKING OUT"),
    "backed_out": later("backed out"),
    "stranded": later("STRANDED"),
    "dropped": later("dropped before it began"),
}
SHEETS = {
    "handover": later("Hand-over sheet"),
    "recovery": later("Recovery sheet"),
    "job": later("Job sheet"),
    "drill": later("Drill record"),
    "erasure": later("Erasure certificate"),
    "evidence": later("Evidence pack"),
}
BY = {
    "the book": later("the book"),
    "the round": later("the round"),
    "command line": later("command line"),
}
"""Whoever wrote without being a person."""
GIVEN = {
    "restore": later("a copy ready to restore, with a number of its own"),
    "drill": later("a number for a drill"),
}
LACKS = {
    Lack.NO_COPY: later(
        "No sound copy was taken in these days: nothing here shows that it could be brought back."
    ),
    Lack.NO_DRILL: later("No drill was held on the bench or in the home, so no restore is proven."),
    Lack.NO_LIVE_DRILL: later(
        "No live swap was rehearsed. Drills on the bench prove the copy and the spare, not that devices answer."
    ),
    Lack.FIRMWARE: later(
        "On which day firmware was changed is not recorded: the build is that of the day of issue, and those that a "
        "drill noted."
    ),
    Lack.NO_CHAIN: later(
        "Not all of these lines are chained yet: the SHA-256 in the annex shows any change after the export, not one "
        "before it."
    ),
    Lack.NO_MESH: later("No mesh of this home is in the book."),
    Lack.NO_JOURNAL: later("The journal has no line about this home in these days."),
}


def by(name: str) -> str:
    """Whoever wrote in the book: a person as they are called there, a part of the program in words."""
    return _(BY[name]) if name in BY else name


def lack_words(each: NotShown) -> str:
    """One sentence, the mesh named before it."""
    text = _counted_lack(each) if each.count is not None else _(LACKS[each.lack])
    return _("{code}: {what}").format(code=each.mesh_code, what=text) if each.mesh_code else text


def _counted_lack(each: NotShown) -> str:
    number = each.count or 0
    if each.lack is Lack.GAPS:
        told = many(
            "{n} day without a sound copy; runs of two days and more are listed with the copies.",
            "{n} days without a sound copy; runs of two days and more are listed with the copies.",
            number,
        )
    elif each.lack is Lack.NOT_JUDGED:
        told = many(
            "On {n} day no round judged it: whether it was covered then is not known.",
            "On {n} days no round judged it: whether it was covered then is not known.",
            number,
        )
    elif each.lack is Lack.NO_SERVICE:
        told = many(
            "For {n} day no radio in service is recorded.",
            "For {n} days no radio in service is recorded.",
            number,
        )
    elif each.lack is Lack.NO_PROMISE:
        told = many("On {n} day no care agreement ran.", "On {n} days no care agreement ran.", number)
    else:
        told = many(
            "{n} sheet carries no signature in the book; one on paper may exist.",
            "{n} sheets carry no signature in the book; one on paper may exist.",
            number,
        )
    return words.counted(told, number)
