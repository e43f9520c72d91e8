"""Places inside a JSON document: "$.nodes[3].link.key" on paper, ("nodes", 3, "link", "key") in hand."""

import re
from typing import TypeAlias

Path: TypeAlias = tuple[str | int, ...]

HIDDEN = "(hidden)"

_STEP = re.compile(r"""\.([A-Za-z_][A-Za-z0-9_]*)|\[(0|[1-9][0-9]{0,8})\]|\["((?:[^"\\]|\\.)*)"\]""")
_PLAIN_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
_SEPARATORS = re.compile(r"[\s:.,\-]")
_KEY_SIZED = re.compile(r"[0-9A-Za-z+/_=]{22,}")
_LONGEST_SHOWN = 40


class PathError(ValueError):
    """A path that is not written like "$.nodes[3].link.key"."""


def show_path(path: Path) -> str:
    """("nodes", 3, "link") -> "$.nodes[3].link". A name that could be a key is not repeated."""
    return "$" + "".join(f"[{step}]" if isinstance(step, int) else _show_name(step) for step in path)


def parse_path(text: str) -> Path:
    """ "$.nodes[3].link" -> ("nodes", 3, "link"). Raises PathError."""
    steps: list[str | int] = []
    at = 1
    while text[:1] == "$" and at < len(text):
        match = _STEP.match(text, at)
        if match is None:
            break
        name, index, quoted = match.groups()
        steps.append(int(index) if index is not None else name or re.sub(r"\\(.)", r"\1", quoted))
        at = match.end()
    if text[:1] != "$" or at != len(text):
        raise PathError(f"path {shown(text)}: right is like $.security.outgoingCounter or $.nodes[3].short")
    return tuple(steps)


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
