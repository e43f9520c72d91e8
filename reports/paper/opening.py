#!/usr/bin/env python3
"""Opens a paper copy, format 1: a snapshot that was printed as codes and as lines of text.

This file needs nothing of the program that printed the paper: Python 3.11 or later and the package `cryptography`
(44 or later) are enough. Give it text files: either what any reader of QR codes (ISO/IEC 18004) says of each
code, one code a line, or the printed lines as somebody typed them. It asks for the passphrase and writes the
document with its counters put forward, as a restore needs it.

Format 1
  code   "SB1/" SET "/" NUMBER "/" COUNT "/" BODY, in capital letters. SET: six characters that all codes of one
         paper share. NUMBER from 01 to COUNT, and "PP" for the parity code. BODY: base 45 (RFC 9285) of the part
         and its CRC-32 (as in ISO/IEC 3309, 4 octets, most significant first). All parts are equally long; the
         parity part is the exclusive or of all others, so one lost code can be worked out.
  line   NUMBER, eight groups of five characters, and a check group of four: base 32 in Crockford's alphabet. The
         check is the lower 20 bits of the CRC-32 of the NUMBER as three digits and the groups without spaces.
  whole  4 octets length, then so many octets: "SB", version 1, Argon2id passes, memory as a power of two KiB,
         lanes, 16 octets salt, 12 octets nonce, then AES-256-GCM (NIST SP 800-38D) cipher text with its tag. What
         stands before the cipher text is its associated data. The key is Argon2id (RFC 9106) of the passphrase,
         capital letters without dashes and spaces.
  plain  LZMA of one line of JSON and, after the line feed, the document. The line holds mesh, taken_at, sha256 of
         the document, was (the counter in the document), counter, per_day and as_of (what to write: counter, and
         per_day more for each day from as_of on, the day of the restore included), edits: [from, to, form] octets
         of the document that hold a counter, as "d" decimal or "x" or "X" hexadecimal digits; each rises by as much
         as the counter does. layout: the field guide of a foreign layout, or nothing.
"""

import argparse
import getpass
import hashlib
import json
import lzma
import os
import re
import sys
import zlib
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.argon2 import Argon2id

NAME, VERSION = "Sparebook paper copy", 1
MAGIC = b"SB\x01"
HEADER_OCTETS = len(MAGIC) + 3 + 16 + 12
PARITY = "PP"
GROUPS, GROUP = 8, 5
LINE = GROUPS * GROUP
CHECK = 4
COUNTER_END = 0xFFFF_FFFF
CROCKFORD = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
BASE45 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"
LINE_NUMBER = re.compile("[0-9]{1,3}")
MISREAD = str.maketrans("OIL", "011")
MOST_MEMORY_KIB = 1 << 20
CODE = re.compile(rf"SB1/([{CROCKFORD}]{{6}})/(\d\d|{PARITY})/(\d\d)/([{re.escape(BASE45)}]+)")


class PaperError(ValueError):
    """The paper cannot be opened; the sentence says what is missing or wrong, never a secret."""


@dataclass(frozen=True, slots=True)
class Opened:
    """The document as it was printed, and what the paper says about it."""

    document: bytes = field(repr=False)
    mesh: str
    taken_at: str
    was: int
    counter: int
    per_day: int
    as_of: date
    edits: tuple[tuple[int, int, str], ...]
    layout: str = ""

    def number_on(self, day: date, attempt: int = 1) -> int:
        """What to write that day; a second attempt with the same paper takes a day's worth more. Raises PaperError.

        The day itself counts in full: whatever the old radio may still send until midnight lies below the number.
        """
        days = max((day - self.as_of).days, 0) + attempt
        number = self.counter + self.per_day * days
        if number >= COUNTER_END:
            raise PaperError(f"counter {number}: it is past the last usable one; change the network key")
        return number

    def advanced(self, number: int) -> bytes:
        """The document with its counter at this number. Raises PaperError where it cannot be put there."""
        result = self.document
        for start, end, form in sorted(self.edits, reverse=True):
            token = risen(self.document[start:end], form, number - self.was)
            result = result[:start] + token + result[end:]
        return result


def risen(token: bytes, form: str, rise: int) -> bytes:
    """Digits of a counter, put forward; leading zeros keep their width. Raises PaperError where it does not fit."""
    old = token.decode("ascii")
    value = int(old, 10 if form == "d" else 16) + rise
    new = f"{value:{form}}"
    if old.startswith("0"):
        new = new.rjust(len(old), "0")
    if value >= COUNTER_END or (old.startswith("0") and len(new) > len(old) > 1):
        raise PaperError(f"counter {value}: it does not fit where {old} stands; change the network key")
    return new.encode("ascii")


def open_paper(texts: list[str], passphrase: str) -> Opened:
    """The paper copy in these texts: codes as they were read, or lines as they were typed. Raises PaperError."""
    codes = [match for text in texts for match in CODE.finditer(text.upper())]
    whole = join_codes(codes) if codes else join_lines("\n".join(texts))
    length = int.from_bytes(whole[:4], "big")
    if len(whole) < 4 + length or length < HEADER_OCTETS:
        raise PaperError("the end of the paper is missing: give all codes, or all lines")
    return read_plain(decrypt(whole[4 : 4 + length], passphrase))


def join_codes(codes: list[re.Match[str]]) -> bytes:
    """The whole from read codes in any order; one may be missing. Raises PaperError."""
    sets = {code[1] for code in codes}
    counts = {code[3] for code in codes}
    if len(sets) > 1 or len(counts) > 1:
        raise PaperError(
            f"codes of {len(sets)} papers lie here together ({', '.join(sorted(sets))}); give one at a time"
        )
    count = int(counts.pop())
    parts: dict[str, bytes] = {}
    for code in codes:
        part = _part(code[4])
        if part is not None:
            parts[code[2]] = part
    missing = [f"{at:02}" for at in range(1, count + 1) if f"{at:02}" not in parts]
    if len(missing) == 1 and PARITY in parts:
        parts[missing[0]] = exclusive_or(list(parts.values()))
        missing = []
    if missing:
        raise PaperError(f"codes {', '.join(missing)} of {count} are missing or damaged; one at most may be")
    return b"".join(parts[f"{at:02}"] for at in range(1, count + 1))


def exclusive_or(parts: list[bytes]) -> bytes:
    """The exclusive or of equally long parts. Raises PaperError where they are not."""
    if len({len(part) for part in parts}) != 1:
        raise PaperError("the codes are not equally long: one of them belongs to another paper")
    result = 0
    for part in parts:
        result ^= int.from_bytes(part, "big")
    return result.to_bytes(len(parts[0]), "big")


def join_lines(text: str) -> bytes:
    """The whole from typed lines in any order. Raises PaperError, which names the wrong or missing lines."""
    lines: dict[int, str] = {}
    wrong = []
    for words in (line.upper().translate(MISREAD).split() for line in text.splitlines()):
        if not words or not LINE_NUMBER.fullmatch(words[0]):
            continue
        number, typed = int(words[0]), "".join(words[1:]).replace("-", "")
        body, check = typed[:-CHECK], typed[-CHECK:]
        if len(body) % 8 or set(typed) - set(CROCKFORD) or check != check_group(number, body):
            wrong.append(number)
        else:
            lines[number] = body
    if not lines and not wrong:
        raise PaperError("there is neither a code nor a numbered line in what was given")
    missing = sorted(set(range(1, max([*lines, *wrong]) + 1)) - lines.keys())
    if missing:
        raise PaperError(f"lines {', '.join(map(str, missing))} are wrong or missing; type them again")
    return b"".join(_octets(lines[number]) for number in sorted(lines))


def check_group(number: int, body: str) -> str:
    """The four characters at the end of a line."""
    bits = zlib.crc32(f"{number:03}{body}".encode("ascii")) & 0xFFFFF
    return "".join(CROCKFORD[bits >> shift & 31] for shift in (15, 10, 5, 0))


def _octets(body: str) -> bytes:
    value = 0
    for character in body:
        value = value << 5 | CROCKFORD.index(character)
    return value.to_bytes(len(body) * 5 // 8, "big")


def _part(body: str) -> bytes | None:
    try:
        octets = from_base45(body)
    except PaperError:
        return None
    part, check = octets[:-4], octets[-4:]
    return part if zlib.crc32(part).to_bytes(4, "big") == check else None


def from_base45(text: str) -> bytes:
    """RFC 9285, section 4. Raises PaperError."""
    out = bytearray()
    for at in range(0, len(text), 3):
        digits = [BASE45.find(character) for character in text[at : at + 3]]
        value = sum(digit * 45**place for place, digit in enumerate(digits))
        size = len(digits) - 1
        if -1 in digits or size == 0 or value >= 1 << 8 * size:
            raise PaperError("a code holds text that is no base 45")
        out += value.to_bytes(size, "big")
    return bytes(out)


def decrypt(sealed: bytes, passphrase: str) -> bytes:
    """The plain octets. Raises PaperError."""
    header, cipher = sealed[:HEADER_OCTETS], sealed[HEADER_OCTETS:]
    if not header.startswith(MAGIC):
        raise PaperError(f"this is no {NAME} of format {VERSION}")
    try:
        return AESGCM(key_from(passphrase, header)).decrypt(header[-12:], cipher, header)
    except InvalidTag:
        raise PaperError("the passphrase is another one, or a line was typed wrong") from None


def key_from(passphrase: str, header: bytes) -> bytes:
    """The AES key (RFC 9106): passes, memory and lanes stand in the header. Raises PaperError."""
    passes, memory, lanes = header[3], 1 << header[4], header[5]
    if not (1 <= passes <= 16 and 1 <= lanes <= 16 and 8 * lanes <= memory <= MOST_MEMORY_KIB):
        raise PaperError("the paper asks for a key that no printer of this format makes")
    secret = re.sub(r"[\s-]", "", passphrase).upper().encode()
    salt = header[6:22]
    return Argon2id(salt=salt, length=32, iterations=passes, lanes=lanes, memory_cost=memory).derive(secret)


def read_plain(plain: bytes) -> Opened:
    """Take the plain octets apart. Raises PaperError."""
    try:
        first, _, document = lzma.decompress(plain).partition(b"\n")
        said = json.loads(first)
        if hashlib.sha256(document).hexdigest() != said["sha256"]:
            raise PaperError("the document does not match its digest")
        return Opened(
            document=document,
            mesh=said["mesh"],
            taken_at=said["taken_at"],
            was=said["was"],
            counter=said["counter"],
            per_day=said["per_day"],
            as_of=date.fromisoformat(said["as_of"]),
            edits=tuple((start, end, form) for start, end, form in said["edits"]),
            layout=said["layout"],
        )
    except (lzma.LZMAError, ValueError, KeyError, TypeError) as error:
        raise PaperError(f"the paper opens, but what it says cannot be read: {error}") from None


def main(words: list[str]) -> int:
    """The command: texts in, one new file out, for its owner only."""
    asked = argparse.ArgumentParser(description="Open a paper copy and write its document, ready to restore.")
    asked.add_argument("texts", nargs="+", type=Path, help="text files: codes as read, or lines as typed")
    asked.add_argument("--out", type=Path, required=True, help="where the document goes; a new file")
    asked.add_argument(
        "--on", type=date.fromisoformat, default=None, help="day of the restore; today if not given"
    )
    asked.add_argument(
        "--attempt", type=int, default=1, help="2 for a second try with the same paper, and so on"
    )
    given = asked.parse_args(words)
    passphrase = os.environ.get("PAPER_PASSPHRASE") or getpass.getpass("Passphrase: ")
    try:
        opened = open_paper([path.read_text(encoding="utf-8") for path in given.texts], passphrase)
        number = opened.number_on(given.on or datetime.now(UTC).date(), given.attempt)
        document = opened.advanced(number)
        with os.fdopen(os.open(given.out, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(document)
    except (PaperError, OSError, UnicodeDecodeError) as error:
        print(f"Not opened: {error}.", file=sys.stderr)
        return 1
    print(f"{given.out}: {opened.mesh}, copy of {opened.taken_at}, counter {number}")
    if not opened.edits:
        print(f"The counters stand as they were. Before restoring, write {number} in their place by hand.")
    print(
        "One identity, one voice: the old radio must be off, with its battery out. The file holds network keys."
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
