"""After a swap: which devices have answered, which are late, and which cannot have been heard yet (trade rule C18).

A device is late once twice its check-in, twice its longest reporting interval and twice its usual longest silence
have all passed; before that its silence means nothing. Defaults of the specifications, recalled: a check-in of
3,600 s (Cluster Library, poll control); routers tell their neighbours every 15 s (Zigbee, link status). The shares
wanted are common practice, no source.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

CHECK_IN_SECONDS = 3_600
ROUTER_SECONDS = 150
"""A router is given 5 minutes: twenty of its link status messages."""
SHARE_WANTED = 0.95


class Answer(StrEnum):
    """What one device's silence means."""

    HEARD = "heard"
    NOT_YET_DUE = "not yet due"
    LATE = "late"


@dataclass(frozen=True, slots=True)
class Watched:
    """One device. Intervals in seconds, None where nobody knows; heard_at counts from the new radio's first word.

    guards: it guards people or the house, and must be tried by hand; explained: somebody has written why it is silent.
    """

    address: str
    is_router: bool
    check_in: int | None = None
    longest_report: int | None = None
    usual_silence: int | None = None
    heard_at: datetime | None = None
    guards: bool = False
    tried_by_hand: bool = False
    explained: bool = False


@dataclass(frozen=True, slots=True)
class Settling:
    """Every device by its answer, and what still stands against accepting; accepted when that is empty."""

    answers: tuple[tuple[Watched, Answer], ...]
    against: tuple[str, ...]

    def of(self, answer: Answer) -> tuple[Watched, ...]:
        """The devices with this answer."""
        return tuple(watched for watched, given in self.answers if given is answer)

    @property
    def may_be_accepted(self) -> bool:
        """True where nothing stands against it."""
        return not self.against


def due_after(watched: Watched) -> timedelta:
    """How long after the new radio's first word a silent device is late."""
    check_in = watched.check_in or (ROUTER_SECONDS if watched.is_router else CHECK_IN_SECONDS)
    return timedelta(seconds=2 * max(check_in, watched.longest_report or 0, watched.usual_silence or 0))


def answer_of(watched: Watched, since: datetime, now: datetime) -> Answer:
    """since: the new radio's first word."""
    if watched.heard_at is not None and watched.heard_at >= since:
        return Answer.HEARD
    return Answer.LATE if now - since > due_after(watched) else Answer.NOT_YET_DUE


def settle(devices: Iterable[Watched], since: datetime, now: datetime) -> Settling:
    """Judge all devices as of now.

    To accept: everything that guards was tried by hand, of those that should have answered by now at least 95 in
    100 have, and none is late without an explanation.
    """
    answers = tuple((device, answer_of(device, since, now)) for device in devices)
    return Settling(answers, tuple(_against(answers)))


def _against(answers: tuple[tuple[Watched, Answer], ...]) -> Iterable[str]:
    untried = sum(device.guards and not device.tried_by_hand for device, _ in answers)
    if untried:
        yield f"{_devices(untried)} that guard people or the house must be tried by hand"
    heard = sum(answer is Answer.HEARD for _, answer in answers)
    late = [device for device, answer in answers if answer is Answer.LATE]
    due = heard + len(late)
    if answers and not due:
        yield "no device is due yet"
    elif due and heard < SHARE_WANTED * due:
        yield f"{heard} of {due} that should have answered have; {SHARE_WANTED:.0%} are wanted"
    unexplained = sum(not device.explained for device in late)
    if unexplained:
        yield f"{_devices(unexplained)} late, and nobody has written why"


def _devices(count: int) -> str:
    return "1 device" if count == 1 else f"{count} devices"
