"""Names that people type for others to read: that there is something to see, and nothing that steers the reading."""

import unicodedata

# Letters by category that no font shows: fillers of Hangul, the empty pattern of Braille.
_EMPTY = frozenset("\u115f\u1160\u2800\u3164\uffa0")
_STEERING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_LONGEST = 120


def fault_of_name(name: str) -> str:
    """What is wrong with a name, as a half-sentence that says what would be right; empty where it may stand.

    Joiners and direction marks may stand within a name, as some scripts need them. Control characters (category Cc) and
    those that embed or override a direction (Unicode Annex 9) may not: they show another name than the one written.
    """
    if not name.strip() or len(name.strip()) > _LONGEST:
        return f"{len(name.strip())} letters; right is a name of 1 to {_LONGEST}"
    for letter in name.strip():
        if letter in _STEERING or unicodedata.category(letter) in ("Cc", "Zl", "Zp"):
            return f"U+{ord(letter):04X} in it cannot be seen; right is a name without it"
    if not any(map(_is_seen, name)):
        return "nothing in it can be seen; right is a name in letters"
    return ""


def _is_seen(letter: str) -> bool:
    return unicodedata.category(letter)[0] in "LN" and letter not in _EMPTY
