"""Whether words that go into the journal hold a key or a code, in any of the ways people copy one.

32 hex digits or more, alone, in groups, or as a list of octets ("38, 56, D9" or "0x38, 0x56"); or 16 octets and more in
base64 (RFC 4648): 22 letters in a row with both cases and a digit among them, which no word has.
"""

import re

_HEX = re.compile(
    r"(?:[0-9A-Fa-f][\W_]?){32,}|(?:(?:0[xX])?[0-9A-Fa-f]{2}[\W_]{1,3}){15,}(?:0[xX])?[0-9A-Fa-f]{2}"
)
_RUN = re.compile(r"[A-Za-z0-9+/_-]{22,}")


def looks_secret(text: str) -> bool:
    """True where the text holds what may be a key."""
    return bool(_HEX.search(text)) or any(_is_base64(run) for run in _RUN.findall(text))


def _is_base64(run: str) -> bool:
    return all(re.search(kind, run) for kind in ("[a-z]", "[A-Z]", "[0-9]"))
