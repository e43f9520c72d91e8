"""Two digests of a sheet's facts: one finds stale sheets, the other says what was printed."""

import hashlib
import json
from dataclasses import Field, fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any

from reports.facts.errors import FactsError

ISSUE = "issue"


def fingerprint(facts: Any) -> str:
    """SHA-256 in lower-case hex over the facts that last: equal fingerprints mean that the sheet is not stale.

    Left out are the issue (number, revision, date) and the fields marked as moving, such as the age of the
    newest snapshot, which would make every sheet stale every morning.
    """
    return _sha256(_plain(facts, lasting=True))


def digest(facts: Any) -> str:
    """SHA-256 in lower-case hex over everything on the sheet, its issue included: the digest that is printed."""
    return _sha256(_plain(facts, lasting=False))


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
