"""Words, yes and no, and free text in the notations that documents use."""

import math
from collections.abc import Mapping

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.notations import ReadingError

ANY_OTHER = "*"
"""In a table of words: what every word that is not listed means. Its meaning "" is "not stated"."""

_YES = frozenset({"true", "yes", "on", "1", "y"})
_NO = frozenset({"false", "no", "off", "0", "n"})
_LONGEST_TEXT = 200


def plain_word(value: JsonValue) -> str:
    """The text by which a table of words knows a JSON value: "Router " -> "router", 1 -> "1", true -> "true".

    Raises ReadingError for lists, objects and long texts.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, str | int | float) and len(text := str(value).strip()) <= _LONGEST_TEXT:
        return text.casefold()
    raise ReadingError("a word or a number")


def bare_word(word: str) -> str:
    """ "end_device" and "End device" -> "enddevice": letters and digits only."""
    return "".join(letter for letter in word.casefold() if letter.isalnum())


def from_words(value: JsonValue, meanings: Mapping[str, str]) -> str:
    """A foreign word -> ours, by the guide's own table; blanks, dashes and capitals make no difference."""
    word = plain_word(value)
    ours = meanings.get(word)
    if ours is None and not word.lstrip("-").isdigit():
        ours = meanings.get(bare_word(word))
    if ours is None:
        ours = meanings.get(ANY_OTHER)
    if ours is None:
        listed = ", ".join(sorted(meanings)[:12])
        raise ReadingError(f"one of the words that the guide knows: {listed}")
    return ours


def to_word(ours: str, like: JsonValue, meanings: Mapping[str, str]) -> JsonValue:
    """Our word -> the value that stood there, where it means that, else a foreign word of the same JSON type."""
    try:
        if from_words(like, meanings) == ours:
            return like
    except ReadingError:
        pass
    foreign = next(
        (word for word, meaning in meanings.items() if meaning == ours and word != ANY_OTHER), None
    )
    if foreign is None:
        raise ReadingError(f"a table of words with one for {ours}")
    if isinstance(like, bool) and foreign in ("true", "false"):
        return foreign == "true"
    if isinstance(like, int | float) and foreign.lstrip("-").isdigit():
        return int(foreign)
    return foreign.upper() if isinstance(like, str) and like.isupper() else foreign


def from_yes_no(value: JsonValue) -> bool:
    """true, 1, "yes" and "on" -> True; false, 0, "no" and "off" -> False."""
    word = plain_word(value) if value is not None else ""
    if word not in _YES | _NO:
        raise ReadingError("true or false, yes or no, 1 or 0")
    return word in _YES


def to_yes_no(truth: bool, like: JsonValue) -> JsonValue:
    """In the words of the value that stood there."""
    if isinstance(like, bool) or not isinstance(like, str | int | float):
        return truth
    if not isinstance(like, str):
        return int(truth)
    pairs = (("true", "false"), ("yes", "no"), ("on", "off"), ("y", "n"), ("1", "0"))
    pair = next((pair for pair in pairs if like.strip().casefold() in pair), pairs[0])
    word = pair[0] if truth else pair[1]
    return word.upper() if like.isupper() else word.capitalize() if like[:1].isupper() else word


def from_text(value: JsonValue) -> str:
    """Free text of at most 200 characters; a number is taken as it is printed."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ReadingError("text")
    if isinstance(value, float) and not math.isfinite(value):
        raise ReadingError("text")
    text = str(value).strip()
    if len(text) > _LONGEST_TEXT:
        raise ReadingError(f"text of at most {_LONGEST_TEXT} characters")
    return text


def to_text(text: str, like: JsonValue) -> JsonValue:
    """Text, or a number where one stood there."""
    is_number = isinstance(like, int) and not isinstance(like, bool) and text.lstrip("-").isdigit()
    return int(text) if is_number else text
