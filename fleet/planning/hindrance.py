"""What keeps a spare from counting for a mesh, and what lifts it."""

from dataclasses import dataclass
from enum import StrEnum

from fleet.planning.sentences import Sentence


class Against(StrEnum):
    """The kinds of hindrance."""

    BUILD_UNKNOWN = "build_unknown"
    BARRED = "barred"
    POLICY_UNKNOWN = "policy_unknown"
    NOT_BLANK = "not_blank"
    NO_FIT = "no_fit"
    WAY_UNKNOWN = "way_unknown"
    TOO_FAR = "too_far"


@dataclass(frozen=True, slots=True)
class Hindrance:
    """Why a spare does not count, the act that lifts it, and its rank by effort (1 is the least)."""

    against: Against
    why: Sentence
    act: Sentence
    effort: int
    certain: bool = True
