"""Two digests of a sheet's facts: one finds stale sheets, the other says what was printed."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import Field, fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any

from fleet.planning.sentences import Phrase
from reports.facts.errors import FactsError

ISSUE = "issue"
SECTION_DIGITS = 4


def fingerprint(facts: Any) -> str:
    """SHA-256 in lower-case hex over the facts that last: equal fingerprints mean that the sheet is not stale.

    Left out are the issue (number, revision, date) and the fields marked as moving, such as the age of the
    newest snapshot, which would make every sheet stale every morning.
    """
    return _sha256(_plain(facts, lasting=True))


def digest(facts: Any) -> str:
    """SHA-256 in lower-case hex over everything on the sheet, its issue included: the digest that is printed."""
    return _sha256(_plain(facts, lasting=False))


def sections(facts: Any) -> dict[str, str]:
    """A short digest of each part of the facts that last, by its name: "contacts", "mesh.key_mark".

    By these a stale sheet can say what has changed. Four hex digits are enough to compare by and far too few to find
    a phone number back from; the fingerprint tells whether anything changed at all.
    """
    found = {}
    for each in _lasting(facts):
        value = getattr(facts, each.name)
        parts = value if isinstance(value, tuple) else (value,)
        if parts and all(is_dataclass(part) and type(part) is type(parts[0]) for part in parts):
            for inner in _lasting(parts[0]):
                column = tuple(getattr(part, inner.name) for part in parts)
                found[f"{each.name}.{inner.name}"] = _short(column)
        else:
            found[each.name] = _short(value)
    return found


def changed_sections(before: Mapping[str, str], after: Mapping[str, str]) -> tuple[str, ...]:
    """The names of the sections that are not as they were, in the order of the sheet; whole ones without their parts.

    A section whose shape changed (empty before, say) is named as a whole.
    """
    names = [*after, *(name for name in before if name not in after)]
    differ = [name for name in names if before.get(name) != after.get(name)]
    known = [name if name in before and name in after else name.partition(".")[0] for name in differ]
    return tuple(dict.fromkeys(known))


def _lasting(facts: Any) -> "list[Field[Any]]":
    return [each for each in fields(facts) if not _passes(each)]


def _short(value: Any) -> str:
    return _sha256(_plain(value, lasting=True))[:SECTION_DIGITS]


def short_form(hex_digest: str) -> str:
    """The first sixteen digits, upper case, in fours, as printed and read aloud: "8F3A 11C2 90AB 77D0"."""
    head = hex_digest[:16].upper()
    return " ".join(head[at : at + 4] for at in range(0, 16, 4))


def _sha256(plain: Any) -> str:
    text = json.dumps(plain, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _plain(value: Any, lasting: bool) -> Any:
    if value is None or (isinstance(value, bool | int | str) and not isinstance(value, Enum)):
        return value
    if is_dataclass(value) and not isinstance(value, type):
        kept = {
            each.name: getattr(value, each.name) for each in fields(value) if not (lasting and _passes(each))
        }
        return {name: _plain(part, lasting) for name, part in kept.items()}
    if isinstance(value, tuple):
        return [_plain(part, lasting) for part in value]
    return _plain_scalar(value)


def _plain_scalar(value: Any) -> str:
    if isinstance(value, Phrase):
        return value.code
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat().replace("+00:00", "Z")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return str(value.normalize())
    if isinstance(value, bytes):
        return hashlib.sha256(value).hexdigest()
    raise FactsError(
        f"{type(value).__name__} cannot be part of a sheet's facts; use text, whole numbers or times"
    )


def _passes(each: "Field[Any]") -> bool:
    return each.name == ISSUE or bool(each.metadata.get("moving"))
