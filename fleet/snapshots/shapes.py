"""New digits in the shape of the text that stood there: width, blanks, separators, prefixes, capitals."""

import re
from itertools import pairwise

PREFIX = re.compile(r"0[xX](?=[0-9A-Fa-f])")
GROUPED = re.compile(r"[0-9]{1,3}([ ,._'\u00a0\u202f])[0-9]{3}(?:\1[0-9]{3})*")
_PIECE = re.compile(r"0[xX](?=[0-9A-Fa-f])|[0-9A-Fa-f]")


def hex_like(digits: str, like: str, capitals: bool) -> str:
    """Hex digits, as many as the value can have, in the places of those in like; more places where they must be."""
    plain = digits.lstrip("0")
    shape = _widened(like.strip(), len(plain), len(digits))
    left = iter((plain.upper() if capitals else plain.lower()).zfill(len(_places(shape))))
    text = _PIECE.sub(lambda piece: piece.group() if len(piece.group()) > 1 else next(left), shape)
    return amid_blanks(text, like)


def decimal_like(number: int, like: str) -> str:
    """A whole number with the group separators of like, and as wide where that begins with zeros."""
    bare = like.strip()
    width = f"0{len(bare)}" if bare.startswith("0") else ""
    grouped = GROUPED.fullmatch(bare)
    text = f"{number:{width},}".replace(",", grouped.group(1)) if grouped else f"{number:{width}}"
    return amid_blanks(text, like)


def in_capitals(like: str) -> bool:
    """Whether the hex digits in like have capitals. Without any letter: yes, but not after 0x."""
    prefix, body = PREFIX.search(like), PREFIX.sub("", like)
    if body.upper() != body.lower():
        return body == body.upper()
    return prefix is None or prefix.group() == "0X"


def amid_blanks(text: str, like: str) -> str:
    """The text with the blanks around like. As it grows it takes their room, so that a field keeps its width."""
    bare = like.strip()
    before, _, after = like.partition(bare)
    grown = max(0, len(text) - len(bare))
    return before[grown:] + text + after if before else text + after[: max(0, len(after) - grown)]


def is_too_wide(text: str, like: str) -> bool:
    """Whether the text needs more digits than like has, where leading zeros say that there are only so many."""
    digits = [like[place] for place in _places(like)]
    return len(text.strip()) > len(like.strip()) and len(digits) > 1 and digits[0] == "0"


def _places(shape: str) -> list[int]:
    """Where hex digits stand; the 0 of a prefix is none."""
    return [piece.start() for piece in _PIECE.finditer(shape) if len(piece.group()) == 1]


def _widened(shape: str, needed: int, most: int) -> str:
    """The shape with room for so many digits: more at the left, in groups where digits stand in groups."""
    places = _places(shape)
    if len(places) >= needed:
        return shape
    first = places[0]
    ends = [number for number, (here, there) in enumerate(pairwise(places), 1) if there - here > 1]
    if not ends:
        return shape[:first] + "0" * (needed - len(places)) + shape[first:]
    lead, size = ends[0], len(places) - ends[-1]
    gap = shape[places[ends[-1] - 1] + 1 : places[ends[-1]]]
    if lead == size:  # whole groups stay whole
        needed = min(-(-needed // size) * size, most)
    room = "0" * (needed - len(places) + lead)
    groups = [room[max(0, end - size) : end] for end in range(len(room), 0, -size)]
    return shape[:first] + gap.join(reversed(groups)) + shape[first + lead :]
