"""Making a paper copy: the sealed whole, its codes and its lines. How it is opened again: reports/paper/opening.py.

Random octets come in as arguments.
"""

import hashlib
import json
import lzma
import zlib
from dataclasses import dataclass, field
from datetime import date

from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from reports.paper.opening import (
    BASE45,
    CROCKFORD,
    GROUP,
    LINE,
    MAGIC,
    PARITY,
    check_group,
    exclusive_or,
    key_from,
)

PASSES, MEMORY_POWER, LANES = 3, 16, 4
"""RFC 9106, section 4, second recommended choice: 3 passes, 64 MiB, 4 lanes."""
PART_OCTETS = 560
"""With its check and head a code of version 19 at error correction M, which reads well from a sheet at 60 mm."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What goes on paper.

    was: the counter in the document; counter, per_day, as_of: what to write. edits: [from, to) in the document, with
    "d", "x" or "X"; empty: to be written by hand. layout: the field guide of a foreign layout, as JSON.
    """

    document: bytes = field(repr=False)
    mesh: str
    taken_at: str
    was: int
    counter: int
    per_day: int
    as_of: date
    edits: tuple[tuple[int, int, str], ...]
    layout: str = ""


def seal(contents: Contents, passphrase: str, salt: bytes, nonce: bytes) -> bytes:
    """The whole: 16 octets of salt and 12 of nonce must be new."""
    header = MAGIC + bytes((PASSES, MEMORY_POWER, LANES)) + salt + nonce
    cipher = AESGCM(key_from(passphrase, header)).encrypt(nonce, _plain(contents), header)
    sealed = header + cipher
    return len(sealed).to_bytes(4, "big") + sealed


def _plain(contents: Contents) -> bytes:
    said = {
        "mesh": contents.mesh,
        "taken_at": contents.taken_at,
        "sha256": hashlib.sha256(contents.document).hexdigest(),
        "was": contents.was,
        "counter": contents.counter,
        "per_day": contents.per_day,
        "as_of": contents.as_of.isoformat(),
        "edits": contents.edits,
        "layout": contents.layout,
    }
    first = json.dumps(said, separators=(",", ":")).encode()
    return lzma.compress(
        first + b"\n" + contents.document, format=lzma.FORMAT_ALONE, preset=9 | lzma.PRESET_EXTREME
    )


def codes_of(whole: bytes, part_octets: int = PART_OCTETS) -> tuple[str, ...]:
    """The texts of all codes, the parity code last; 99 at most, or ValueError."""
    count = -(-len(whole) // part_octets)
    if count > 99:
        raise ValueError(f"{count} codes: a paper copy has 99 at most")
    size = -(-len(whole) // count)
    padded = whole.ljust(count * size, b"\0")
    parts = [padded[at : at + size] for at in range(0, len(padded), size)]
    digest = int.from_bytes(hashlib.sha256(whole).digest()[:4], "big") >> 2
    name = "".join(CROCKFORD[digest >> shift & 31] for shift in range(25, -1, -5))
    numbered = [(f"{number:02}", part) for number, part in enumerate(parts, 1)]
    return tuple(
        f"SB1/{name}/{number}/{count:02}/{to_base45(part + zlib.crc32(part).to_bytes(4, 'big'))}"
        for number, part in (*numbered, (PARITY, exclusive_or(parts)))
    )


def lines_of(whole: bytes) -> tuple[str, ...]:
    """The lines to type, each with its number and check group."""
    octets = LINE * 5 // 8
    bodies = [to_crockford(whole[at : at + octets]) for at in range(0, len(whole), octets)]
    return tuple(
        f"{number:03} {_grouped(body)} {check_group(number, body)}" for number, body in enumerate(bodies, 1)
    )


def to_crockford(octets: bytes) -> str:
    """Base 32 in Crockford's alphabet; padded with zero octets to a multiple of 5, which the length tells apart."""
    padded = octets.ljust(-(-len(octets) // 5) * 5, b"\0")
    value = int.from_bytes(padded, "big")
    return "".join(CROCKFORD[value >> shift & 31] for shift in range(len(padded) * 8 - 5, -1, -5))


def to_base45(octets: bytes) -> str:
    """RFC 9285, section 4."""
    out = []
    for at in range(0, len(octets), 2):
        pair = octets[at : at + 2]
        value = int.from_bytes(pair, "big")
        out += [BASE45[value // 45**place % 45] for place in range(len(pair) + 1)]
    return "".join(out)


def _grouped(body: str) -> str:
    return " ".join(body[at : at + GROUP] for at in range(0, len(body), GROUP))
