"""Places inside a JSON document: "$.nodes[3].link.key" on paper, ("nodes", 3, "link", "key") in hand."""

import re
from typing import Any, TypeAlias

Path: TypeAlias = tuple[str | int, ...]

HIDDEN = "(hidden)"

_PLAIN_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_SEPARATORS = re.compile(r"[\s:.,\-]")
_KEY_SIZED = re.compile(r"[0-9A-Za-z+/_=]{22,}")
_LONGEST_SHOWN = 40


def show_path(path: Path) -> str:
    """("nodes", 3, "link") -> "$.nodes[3].link". A name that could be a key is not repeated."""
    return "$" + "".join(f"[{step}]" if isinstance(step, int) else _show_name(step) for step in path)


def value_at(document: Any, path: Path) -> Any:
    """What stands there. Raises LookupError where nothing does."""
    value = document
    for step in path:
        if not isinstance(value, dict if isinstance(step, str) else list):
            raise LookupError(show_path(path))
        value = value[step]  # type: ignore[index]
    return value


def shown(value: object) -> str:
    """A value as an error may repeat it: shortened, containers only by their kind, key-like text hidden.

    Anything with 22 or more letters and digits in a row (separators left out) could hold a 128-bit key in
    hex or base64, so it is never repeated, whatever field it stood in.
    """
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "an object"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if not isinstance(value, str):
        return str(value) if len(str(value)) < 22 else HIDDEN
    if _KEY_SIZED.search(_SEPARATORS.sub("", value)):
        return HIDDEN
    cut = value if len(value) <= _LONGEST_SHOWN else value[:_LONGEST_SHOWN] + "..."
    return '"' + "".join(letter if letter.isprintable() else "?" for letter in cut) + '"'


def _show_name(name: str) -> str:
    if _PLAIN_NAME.fullmatch(name) and not _KEY_SIZED.search(name):
        return "." + name
    quoted = shown(name)
    return f"[{quoted}]"
