"""Messages as plain text of at most 76 columns, in the words of a catalogue and on the reader's clock.

Dates are written as ISO 8601 has them, which every language reads alike.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from fleet.mesh.codes import site_code_of
from fleet.planning.messages import phrases
from fleet.planning.messages.causes import ABOUT_COPIES, Group
from fleet.planning.messages.pen import Desk, Pen
from fleet.planning.messages.phrases import Words
from fleet.planning.messages.standing import Standing, Trouble, count_homes, homes_in
from fleet.planning.messages.telling import MorningList

MOST_LINES = 100
STAR = "*"


@dataclass(frozen=True, slots=True)
class Letter:
    """What is sent: one line of subject, and the text."""

    subject: str
    body: str


@dataclass(frozen=True, slots=True)
class LastRound:
    """When the last complete round ended, None for never; doubtful where that is too long ago."""

    ended_at: datetime | None
    doubtful: bool


def morning(found: MorningList, last: LastRound, now: datetime, desk: Desk, words: Words) -> Letter:
    """The list of the day: a first line that answers, then every home in trouble by cause."""
    counts = _counts(found.homes, words)
    pen = Pen(desk, words)
    pen.paragraph(*counts)
    pen.paragraph(*_as_of(last, now, pen))
    if found.later:
        asleep = len({site_code_of(code) for code in found.later.codes})
        pen.paragraph(
            words.ngettext(
                "It is night at %(count)d more home; its line follows today, when it is day there.",
                "It is night at %(count)d more homes; their lines follow today, when it is day there.",
                asleep,
            )
            % {"count": asleep}
        )
    _groups(found.groups, pen)
    pen.paragraph(
        words.gettext("You get this list each morning. What you are told is set on the page Messages."),
        desk.address,
    )
    return Letter(_subject(counts[0], words), pen.text)


def rest(groups: tuple[Group, ...], last: LastRound, now: datetime, desk: Desk, words: Words) -> Letter:
    """The lines that had to wait until it was day at the homes."""
    counts = _counts(count_homes(each for group in groups for each in group.members), words)
    pen = Pen(desk, words)
    pen.paragraph(words.gettext("The rest of this morning's list: it was night at these homes."))
    pen.paragraph(*_as_of(last, now, pen))
    _groups(groups, pen)
    pen.paragraph(desk.address)
    return Letter(_subject(counts[0], words), pen.text)


def urgent(groups: tuple[Group, ...], now: datetime, desk: Desk, words: Words) -> Letter:
    """Homes that people's safety hangs on, told at once."""
    homes = count_homes(each for group in groups for each in group.members)
    counts = [
        phrases.urgent_homes(trouble, homes[trouble], words)
        for trouble in (Trouble.STRANDED, Trouble.BARE)
        if homes[trouble]
    ]
    pen = Pen(desk, words)
    pen.paragraph(*counts)
    pen.paragraph(words.gettext("As of %(time)s.") % {"time": pen.moment(now, desk.zone)})
    _groups(groups, pen, now)
    pen.paragraph(
        words.gettext(
            "Before anybody touches a head radio, agree with the people in the house how to do without, and test "
            "each of these devices by hand afterwards."
        )
    )
    pen.paragraph(
        words.gettext(
            "Within 24 hours the same home is told again only if it gets worse; the morning list shows it until "
            "it is well."
        ),
        desk.address,
    )
    return Letter(words.gettext("Urgent: %(line)s") % {"line": counts[0]}, pen.text)


def rounds_stopped(last: LastRound, now: datetime, desk: Desk, words: Words) -> Letter:
    """That the book no longer judges the homes: silence is then no good news."""
    if last.ended_at is None:
        line = words.gettext("No round has ever ended.")
    else:
        hours = int((now - last.ended_at).total_seconds() // 3600)
        line = words.ngettext(
            "No round has ended for %(count)d hour.", "No round has ended for %(count)d hours.", hours
        ) % {"count": hours}
    pen = Pen(desk, words)
    pen.paragraph(line)
    pen.paragraph(*_as_of(last, now, pen))
    pen.paragraph(
        words.gettext(
            "Until rounds run again, what the book says of the homes is doubtful, and no message about a home can "
            "be relied on. Look at the page Rounds, and at the program that runs the background jobs."
        ),
        desk.address,
    )
    return Letter(words.gettext("Urgent: %(line)s") % {"line": line}, pen.text)


def _subject(line: str, words: Words) -> str:
    return words.gettext("Sparebook: %(line)s") % {"line": line}


def _counts(homes: Counter[Trouble | None], words: Words) -> list[str]:
    """A sentence for each trouble that some home is in, worst first; one sentence where all is well."""
    if not homes:
        return [words.gettext("No home is in the care of this book yet.")]
    if not any(homes[trouble] for trouble in Trouble):
        return [words.gettext("Every home could be brought back today.")]
    return [phrases.homes(each, homes[each], words) for each in (*Trouble, None) if homes[each]]


def _as_of(last: LastRound, now: datetime, pen: Pen) -> Iterator[str]:
    yield pen.words.gettext("As of %(time)s.") % {"time": pen.moment(now, pen.desk.zone)}
    if last.doubtful and last.ended_at is not None:
        yield pen.words.gettext(
            "The last complete round ended %(time)s: what stands here may be out of date."
        ) % {"time": pen.moment(last.ended_at, pen.desk.zone)}
    elif last.doubtful:
        yield pen.words.gettext("No complete round has ended yet: what stands here may be out of date.")


def _groups(groups: tuple[Group, ...], pen: Pen, at_home_now: datetime | None = None) -> None:
    """Each cause with what helps, then a line for each mesh.

    With `at_home_now` for an urgent message: the hour there and what hangs on it are added, and no mesh is left out.
    """
    for group in groups:
        shown = group.members[:MOST_LINES] if at_home_now is None else group.members
        pen.paragraph(*_heading(group, pen))
        pen.rows((_code(each, at_home_now), _details(each, group, pen, at_home_now)) for each in shown)
        if left := len(group.members) - len(shown):
            pen.paragraph(pen.words.gettext("and %(count)d more") % {"count": left})
    if at_home_now is None and any(each.safety for group in groups for each in group.members):
        legend = pen.words.gettext("* holds locks, heating, smoke, water or gas alarms, or calls for help")
        pen.paragraph(legend)


def _heading(group: Group, pen: Pen) -> Iterator[str]:
    cause, words, count = group.cause, pen.words, homes_in(group.members)
    reason = phrases.reason(cause, words)
    if cause.family:
        family = pen.isolated(cause.family)
        reason = words.gettext("%(reason)s (family %(family)s)") % {"reason": reason, "family": family}
    line = words.ngettext("%(reason)s: %(count)d home", "%(reason)s: %(count)d homes", count)
    yield line % {"reason": reason, "count": count}
    if cause.since is not None:
        since = pen.moment(cause.since, pen.desk.zone)
        yield words.gettext("Nothing newer than %(time)s has landed.") % {"time": since}
    yield words.gettext("What helps: %(act)s") % {"act": phrases.act(cause, words)}


def _code(standing: Standing, at_home_now: datetime | None) -> str:
    starred = standing.safety and at_home_now is None
    return f"{standing.code} {STAR}" if starred else standing.code


def _details(standing: Standing, group: Group, pen: Pen, at_home_now: datetime | None) -> str:
    parts = (
        [pen.isolated(standing.place)]
        if at_home_now is not None or group.cause.gate not in ABOUT_COPIES
        else []
    )
    if group.cause.gate in ABOUT_COPIES:
        taken = standing.newest_sound_at
        parts.append(pen.moment(taken, standing.zone) if taken else pen.words.gettext("no sound snapshot"))
    if at_home_now is not None:
        there = at_home_now.astimezone(standing.zone)
        parts.append(pen.words.gettext("it is %(time)s there") % {"time": f"{there:%H:%M}"})
        kinds = [phrases.KINDS[kind] for kind in standing.kinds if kind in phrases.KINDS]
        parts.append(pen.words.gettext(", ").join(pen.words.gettext(kind) for kind in kinds))
    return pen.words.gettext("; ").join(part for part in parts if part)
