"""The first line of the pages about what is told, to people and to other systems."""

from fleet.models import Receiver
from fleet.queries.outbox import Outbox
from sites.models import Person


def of_messages(found: Outbox) -> str:
    """Whether everything that was to be told has gone out."""
    if not found.written:
        return "Nobody was told anything yet."
    failed = f"{_messages(found.failed)} could not be sent"
    waiting = f"{_messages(found.waiting)} {'waits' if found.waiting == 1 else 'wait'} to go out"
    if found.failed and found.waiting:
        return _sentence(f"{failed}, and {waiting}.")
    if found.failed or found.waiting:
        return _sentence(f"{failed if found.failed else waiting}.")
    return "Every message has gone out."


def of_wishes(person: Person, mine: bool) -> str:
    """The question that the form asks."""
    return f"What shall {'you' if mine else person} be told?"


def of_events(receivers: list[Receiver]) -> str:
    """Whether the systems outside have what they are told."""
    if not receivers:
        return "No other system is told of events."
    dead = sum(receiver.dead for receiver in receivers)
    waiting = sum(receiver.waiting for receiver in receivers)
    if dead:
        return f"{_events(dead)} {'was' if dead == 1 else 'were'} given up: nobody took {_it(dead)} for three days."
    if any(receiver.misses for receiver in receivers):
        return f"A receiver does not answer; {_events(waiting).lower()} {'waits' if waiting == 1 else 'wait'} for it."
    if waiting:
        return f"{_events(waiting)} {'waits' if waiting == 1 else 'wait'} to be delivered."
    return "Every event has been delivered."


def _messages(count: int) -> str:
    return "one message" if count == 1 else f"{count} messages"


def _events(count: int) -> str:
    return "One event" if count == 1 else f"{count} events"


def _it(count: int) -> str:
    return "it" if count == 1 else "them"


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]
