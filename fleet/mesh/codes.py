"""Codes that people read aloud: of homes, meshes and sheets, each with a check character.

The check character is that of ISO/IEC 7064, MOD 37,36, over the letters and digits only. It finds every
single wrong character and nearly every swap of two neighbours.
"""

import re
from typing import NamedTuple

from stdnum.iso7064 import mod_37_36

SITE_CODE = r"[A-Z]{2,10}-[0-9]{1,4}"
MESH_CODE = SITE_CODE + r"-[A-Z]"
LAST_SERIAL = 999_999

_AS_TYPED = re.compile(r"([A-Z]{2,10})-?([0-9]{1,4})(?:-?([A-Z]))?")
_SHEET_AS_TYPED = re.compile(r"([A-Z])-?([0-9]{6})-?([0-9A-Z])")
_IGNORED = re.compile(r"[^0-9A-Z]")


class CodeError(ValueError):
    """A code that cannot be right; the message says what would be."""


class SheetNumber(NamedTuple):
    """What a sheet number says: the letter of its kind and its serial, 1 to 999,999."""

    kind: str
    serial: int


def check_character(text: str) -> str:
    """The MOD 37,36 check character of the letters and digits in the text; case and separators ignored."""
    letters = _IGNORED.sub("", text.upper())
    if not text.isascii() or not letters:
        raise CodeError(f"code {_quote(text)}: right are letters A to Z and digits, at least one")
    return str(mod_37_36.calc_check_digit(letters))


def with_check(code: str) -> str:
    """A home or mesh code as it stands on paper: the code, a slash, its check character."""
    return f"{code}/{check_character(code)}"


def is_site_code(text: str) -> bool:
    """True for a home's code in its one form, like KELP-7."""
    return re.fullmatch(SITE_CODE, text) is not None


def is_mesh_code(text: str) -> bool:
    """True for a mesh's code in its one form, like KELP-7-A."""
    return re.fullmatch(MESH_CODE, text) is not None


def site_code_of(mesh_code: str) -> str:
    """The home's part of a mesh code: KELP-7-A -> KELP-7. Raises CodeError."""
    if not is_mesh_code(mesh_code):
        raise CodeError(f"mesh code {_quote(mesh_code)}: right is a home's code and a letter, like KELP-7-A")
    return mesh_code.rpartition("-")[0]


def read_code(text: str) -> str:
    """A home or mesh code as somebody typed or heard it -> its one form, without the check character.

    Lower case, spaces and missing dashes are taken; a check character counts only after a slash.
    Raises CodeError, naming the check character that would be right.
    """
    body, slash, check = _tidy(text).partition("/")
    parts = _AS_TYPED.fullmatch(body)
    if parts is None:
        raise CodeError(f"code {_quote(text)}: right is letters, a number and for a mesh a letter: KELP-7-A")
    code = "-".join(part for part in parts.groups() if part)
    right = check_character(code)
    if slash and check != right:
        raise CodeError(f"code {_quote(text)}: the check character of {code} is {right}; read it again")
    return code


def sheet_number(kind: str, serial: int) -> str:
    """A sheet's number from the letter of its kind and its serial: ("H", 12) -> H-000012- and its check."""
    if not re.fullmatch(r"[A-Z]", kind):
        raise CodeError(f"sheet kind {_quote(kind)}: right is one letter, A to Z")
    if not 1 <= serial <= LAST_SERIAL:
        raise CodeError(f"sheet serial {serial}: right is 1 to {LAST_SERIAL}")
    body = f"{kind}-{serial:06d}"
    return f"{body}-{check_character(body)}"


def read_sheet_number(text: str) -> SheetNumber:
    """A sheet number as somebody typed it -> its kind and serial. The check character must be there.

    Lower case, spaces and missing dashes are taken. Raises CodeError, naming the right check character.
    """
    parts = _SHEET_AS_TYPED.fullmatch(_tidy(text))
    if parts is None:
        raise CodeError(
            f"sheet number {_quote(text)}: right is a letter, six digits and a check character, "
            f"like {sheet_number('H', 12)}"
        )
    kind, serial, check = parts.groups()
    right = sheet_number(kind, int(serial))
    if check != right[-1]:
        raise CodeError(f"sheet number {_quote(text)}: the check character is {right[-1]}; read it again")
    return SheetNumber(kind, int(serial))


def _tidy(text: str) -> str:
    """Upper case, with dashes for runs of spaces and dashes, none at the ends or about a slash."""
    dashed = re.sub(r"[\s\-\u2010-\u2013]+", "-", text)
    upper = dashed.upper() if dashed.isascii() else dashed  # else a long s would become an S
    return re.sub(r"-?/-?", "/", upper).strip("-")


def _quote(text: str) -> str:
    return repr(text if len(text) <= 40 else text[:40] + "...")
