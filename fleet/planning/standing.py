"""What stands out about a mesh whatever its newest snapshot: ceilings, neighbours, firmware, dates, shared keys."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from fleet.mesh.capacity import EASED_BY_ROUTERS, Level, Room
from fleet.snapshots.findings import Severity

ENDING_SOON_DAYS = 90


class StandingCode(StrEnum):
    """Names of standing findings. They are stored, so a name is never reused for something else."""

    NEAR_CEILING = "near_ceiling"
    SAME_CHANNEL = "own_meshes_share_channel"
    FIRMWARE = "firmware_not_allowed"
    ENDING = "agreement_ends"
    SHARED_KEY = "network_key_shared"
    SHARED_CODE = "install_code_shared"


@dataclass(frozen=True, slots=True)
class StandingFinding:
    """One observation on a mesh; value never holds a secret."""

    code: StandingCode
    severity: Severity
    path: str
    message: str
    value: str = ""
    expected: str = ""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another mesh of the same home."""

    code: str
    channel: int | None
    pan_id: int | None


@dataclass(frozen=True, slots=True)
class StandingFacts:
    """What a round knows of a mesh beside its copies. firmware_policy is the firm's word on the build in service.

    codes_shared: for each device whose install code another device holds too, both of them in words.
    """

    mesh_code: str
    channel: int | None
    pan_id: int | None
    room: Room
    months_left: float | None
    neighbours: tuple[Neighbour, ...]
    firmware: str | None
    firmware_policy: str | None
    agreement_ends_on: date | None
    today: date
    key_shared_with: tuple[str, ...]
    codes_shared: tuple[str, ...] = ()


def standing_findings(facts: StandingFacts) -> tuple[StandingFinding, ...]:
    """Every standing finding of one mesh; at most one of a code."""
    rules = (_ceiling, _same_channel, _firmware, _ending, _shared_key, _shared_code)
    found = (rule(facts) for rule in rules)
    return tuple(finding for finding in found if finding is not None)


def _ceiling(facts: StandingFacts) -> StandingFinding | None:
    room = facts.room
    if room.level not in (Level.WARN, Level.STOP) or room.tightest is None or room.headroom is None:
        return None
    tight = next(each for each in room.resources if each.resource is room.tightest)
    name = tight.resource.value.replace("_", " ")
    if tight.headroom is not None and tight.headroom < 0:
        text = f"{tight.used} {name} are in use and the limit is {tight.limit.value}: over the ceiling."
    else:
        months = f", full in {facts.months_left:.1f} months" if facts.months_left is not None else ""
        text = f"{tight.used} of {tight.limit.value} {name} in use: {room.headroom:.0%} left{months}."
    eases = room.tightest in EASED_BY_ROUTERS
    remedy = (
        "add routers elsewhere in the home, not another radio"
        if eases
        else "remove old entries or plan a swap"
    )
    stop = room.level is Level.STOP
    return StandingFinding(
        code=StandingCode.NEAR_CEILING,
        severity=Severity.DOUBT if stop else Severity.NOTE,
        path=tight.resource.value,
        message=f"{text} {'Stop adding devices; ' if stop else 'Before adding devices, '}{remedy}.",
        value=str(tight.used),
        expected=f"below {round((tight.limit.value or 0) * 0.8)}",
    )


def _same_channel(facts: StandingFacts) -> StandingFinding | None:
    same = [each for each in facts.neighbours if facts.channel is not None and each.channel == facts.channel]
    if not same:
        return None
    codes = ", ".join(each.code for each in same)
    twin = any(each.pan_id == facts.pan_id for each in same)
    pan = " and the same PAN ID" if twin else ""
    return StandingFinding(
        code=StandingCode.SAME_CHANNEL,
        severity=Severity.DOUBT,
        path="channel",
        message=f"{codes} of the same home is on channel {facts.channel} too{pan}. Move the smaller mesh.",
        value=str(facts.channel),
        expected="another channel for each mesh of a home",
    )


def _firmware(facts: StandingFacts) -> StandingFinding | None:
    if facts.firmware_policy not in ("barred", "hold"):
        return None
    barred = facts.firmware_policy == "barred"
    word = "barred" if barred else "on hold"
    return StandingFinding(
        code=StandingCode.FIRMWARE,
        severity=Severity.DOUBT if barred else Severity.NOTE,
        path="firmware",
        message=f"Firmware {facts.firmware} in service is {word}. Plan an update with a snapshot before and after.",
        value=facts.firmware or "",
        expected="an allowed or preferred build",
    )


def _ending(facts: StandingFacts) -> StandingFinding | None:
    if facts.agreement_ends_on is None:
        return None
    left = (facts.agreement_ends_on - facts.today).days
    if left > ENDING_SOON_DAYS:
        return None
    when = f"in {left} days" if left > 1 else "tomorrow" if left == 1 else "today" if left == 0 else "already"
    return StandingFinding(
        code=StandingCode.ENDING,
        severity=Severity.NOTE,
        path="agreement",
        message=f"The agreement ends {when} ({facts.agreement_ends_on}). Renew it, or prepare the hand-back.",
        value=facts.agreement_ends_on.isoformat(),
        expected="a renewed agreement or a hand-back",
    )


def _shared_key(facts: StandingFacts) -> StandingFinding | None:
    if not facts.key_shared_with:
        return None
    return StandingFinding(
        code=StandingCode.SHARED_KEY,
        severity=Severity.DOUBT,
        path="network key",
        message=f"{', '.join(facts.key_shared_with)} uses the same network key. Treat it as an incident; change one.",
        value="(hidden)",
        expected="a network key of its own for each mesh",
    )


def _shared_code(facts: StandingFacts) -> StandingFinding | None:
    if not facts.codes_shared:
        return None
    return StandingFinding(
        code=StandingCode.SHARED_CODE,
        severity=Severity.DOUBT,
        path="install codes",
        message=f"One install code is held for two devices: {'; '.join(facts.codes_shared)}. Read both labels again.",
        value="(hidden)",
        expected="an install code of its own for each device",
    )
