"""The first line of each page: the answer to its question, in words.

Answers are plain text, except where a client's name must carry its own language and direction.
"""

from datetime import date

from fleet.models import Currency, Grade, Mesh, Round, RoundState, Snapshot, TrayItem, TrayReason
from fleet.pages.writing import spell
from fleet.planning.leaving import DatedStep, StepState
from fleet.planning.readiness import State
from fleet.queries.board import Tally
from fleet.verbs.guides import Tried
from fleet.verbs.intake import Kind, Refusal


def of_board(tally: Tally, bare_meshes: int = 0, stranded: int = 0, silent: int = 0) -> str:
    """How many meshes are stranded, in how many nobody speaks, and how many homes could not be brought back today."""
    told = [_of_homes(tally, bare_meshes)]
    if silent:
        told.insert(0, f"In {_all(silent)} nobody speaks while a radio is replaced.")
    if stranded:
        told.insert(0, f"{_all(stranded).capitalize()} {'is' if stranded == 1 else 'are'} stranded.")
    return " ".join(told)


def _of_homes(tally: Tally, bare_meshes: int) -> str:
    if tally.bare:
        doubt = (
            f"; for {tally.unknown if tally.unknown > 1 else 'one'} more nobody can say"
            if tally.unknown
            else ""
        )
        meshes = f" ({_all(bare_meshes)})" if bare_meshes > tally.bare else ""
        return f"{_homes(tally.bare, capital=True)}{meshes} could not be brought back today{doubt}."
    if tally.unknown:
        they = "it" if tally.unknown == 1 else "they"
        return f"For {_homes(tally.unknown)} nobody can say whether {they} could be brought back today."
    if not tally.judged:
        return "No home in care has a mesh in the book yet."
    if tally.thin:
        return f"Every home could be brought back today, {tally.thin} of {tally.judged} on thin cover."
    return "Every home could be brought back today."


def of_mesh(code: str, mesh: Mesh | None) -> str:
    """Whether a mesh, or the home that it decides for, could be brought back today."""
    if mesh is None:
        return f"{code} has no mesh in care yet."
    minutes = f", likely in {spell(mesh.minutes_likely)}" if mesh.minutes_likely else ""
    return {
        State.BARE: f"{code} could not be brought back today.",
        State.UNKNOWN: f"Nobody can say whether {code} could be brought back today.",
        State.THIN: f"{code} could be brought back today, but the cover is thin.",
        State.COVERED_WITH_HANDWORK: f"{code} could be brought back today with work by hand{minutes}.",
        State.COVERED: f"{code} could be brought back today{minutes}.",
    }[State(mesh.readiness)]


def of_snapshot(snapshot: Snapshot) -> str:
    """Whether this copy could bring the mesh back."""
    if snapshot.gone_at is not None:
        return "This copy was erased; what it was is still on record."
    if snapshot.grade == Grade.HELD:
        return "This copy is held and cannot be used until its findings are settled."
    if snapshot.currency == Currency.LOCKED_OUT:
        return "This copy is locked out: the network key has changed since, so it can no longer bring the mesh back."
    grade = {Grade.PROVEN: "proven", Grade.SEEN_LIVE: "sound and was seen live", Grade.SOUND: "sound"}
    if snapshot.grade not in grade:
        return "This copy has landed and is not judged yet."
    tail = " but stale" if snapshot.currency == Currency.STALE else " and fresh"
    return f"This copy is {grade[Grade(snapshot.grade)]}{tail}."


def of_leaving(code: str, ends_on: date, today: date, steps: tuple[DatedStep, ...]) -> str:
    """What is due next on the way out."""
    left = (ends_on - today).days
    when = f"ends in {left} days" if left > 1 else "ends tomorrow" if left == 1 else "ends today"
    ends = f"The agreement of {code} {when if left >= 0 else 'has ended'}"
    open_steps = [each for each in steps if each.state in (StepState.DUE, StepState.LATE)]
    if not open_steps:
        return f"{ends}; nothing is due today."
    late = sum(each.state is StepState.LATE for each in open_steps)
    due = "one step is due" if len(open_steps) == 1 else f"{len(open_steps)} steps are due"
    return f"{ends}; {due}{f', {late} of them late' if late else ''}."


def of_tray(waiting: int) -> str:
    """How many documents wait."""
    if not waiting:
        return "Nothing waits in the tray."
    return "One document waits in the tray." if waiting == 1 else f"{waiting} documents wait in the tray."


def of_cleared(left: int) -> str:
    """How many documents have left the tray."""
    if not left:
        return "Nothing has left the tray yet."
    return "One document has left the tray." if left == 1 else f"{left} documents have left the tray."


def of_tray_item(item: TrayItem, is_known: bool = False) -> str:
    """Why a document waits, or that it does not. is_known: a field guide knows its layout by now."""
    if item.cleared_at is not None:
        return "This document has left the tray."
    if is_known and item.reason == TrayReason.UNKNOWN_LAYOUT:
        return "This document waits because it came before the book knew its layout."
    because = {
        TrayReason.UNREADABLE: "it could not be read",
        TrayReason.UNKNOWN_LAYOUT: "nobody has taught the book its layout yet",
        TrayReason.WRONG_HOME: f"it belongs to another mesh than {item.mesh.code if item.mesh else 'its own'}",
        TrayReason.NO_MESH: "it was sent for no mesh in this book",
    }
    return f"This document waits because {because[TrayReason(item.reason)]}."


def of_tried(tried: Tried) -> str:
    """What would become of a document that is read as somebody tries it."""
    if tried.facts is None or isinstance(tried.outcome, Refusal):
        return "Read this way, the document would still wait in the tray."
    if tried.outcome.kind is Kind.REPEATED:
        return "Read this way, it says what a copy in the book says already."
    count = len(tried.facts.nodes)
    devices = "one device" if count == 1 else f"{count} devices"
    if tried.outcome.snapshot.grade == Grade.HELD:
        return f"Read this way, it would become a copy with {devices}, and be held."
    return f"Read this way, it would become a sound copy with {devices}."


def of_rounds(last: Round | None) -> str:
    """How the last round went."""
    if last is None:
        return "No round has run yet."
    if last.state == RoundState.RUNNING:
        return f"A round is under way: {last.done:,} of {last.total:,} meshes."
    if last.state == RoundState.BROKEN:
        return f"The last round broke off after {last.done:,} of {last.total:,} meshes."
    errors = len(last.errors)
    how = "without an error" if not errors else f"with {errors} error{'' if errors == 1 else 's'}"
    return f"The last round went through {_all(last.done)} {how}."


def of_round(report: Round, noted: int, first: int = 0) -> str:
    """What one round found, or how far it is. noted: meshes with a line on it; first: of these never judged before."""
    if report.state == RoundState.RUNNING:
        return f"This round is under way: {report.done:,} of {report.total:,} meshes."
    if report.state == RoundState.BROKEN:
        return f"This round broke off after {report.done:,} of {report.total:,} meshes."
    said = [f"judged {_all(first)} for the first time"] if first else []
    said += [f"found {_all(noted - first)} in another state"] if noted > first else []
    found = " and ".join(said) or "found every mesh as it was"
    if not report.errors:
        return f"This round {found}."
    return f"This round {found}, and failed on {_all(len(report.errors))}."


def of_journal(lines: int, subject: str) -> str:
    """How much the journal holds."""
    about = f" about {subject}" if subject else ""
    if not lines:
        return f"Nobody has done anything{about} yet."
    say = "One line says" if lines == 1 else f"{lines:,} lines say"
    return f"{say} who did and saw what{about}, newest first."


def _homes(count: int, capital: bool = False) -> str:
    word = "One" if capital else "one"
    return f"{word} home" if count == 1 else f"{count} homes"


def _all(count: int) -> str:
    return "one mesh" if count == 1 else f"{count:,} meshes"
