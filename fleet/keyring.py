"""The key ring: the firm's wrapping keys, in a file outside the database.

The file holds the keys that wrap every client's data key, and one key for keyed digests. It is made on first
use, readable by its owner only. Whoever has the database but not this file can open nothing.
"""

import json
import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path

from django.conf import settings

KEY_OCTETS = 32
VERSION = 1


class KeyRingError(Exception):
    """The ring file is missing a key, damaged, or open to others. The sentence says which and what to do."""


@dataclass(frozen=True, slots=True)
class KeyRing:
    """active names the wrapping key for new data keys; wrapping maps key names to 32 octets."""

    active: str
    wrapping: dict[str, bytes] = field(repr=False)
    digest_key: bytes = field(repr=False)

    def wrapping_key(self, name: str) -> bytes:
        """The wrapping key of that name, or KeyRingError."""
        try:
            return self.wrapping[name]
        except KeyError:
            raise KeyRingError(
                f"The key ring has no key named {name}. Put back the ring file that was in use when it was made."
            ) from None


_loaded: dict[Path, tuple[int, KeyRing]] = {}


def load() -> KeyRing:
    """The ring of this book, made on first use; read again only when the file has changed."""
    path = Path(settings.KEYRING_FILE)
    try:
        stamp = path.stat().st_mtime_ns
    except FileNotFoundError:
        _make(path)
        stamp = path.stat().st_mtime_ns
    known = _loaded.get(path)
    if known is None or known[0] != stamp:
        known = (stamp, _read(path))
        _loaded[path] = known
    return known[1]


def _make(path: Path) -> None:
    name = f"ring-{secrets.token_hex(4)}"
    content = {
        "version": VERSION,
        "active": name,
        "wrapping": {name: secrets.token_bytes(KEY_OCTETS).hex()},
        "digest": secrets.token_bytes(KEY_OCTETS).hex(),
    }
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    # Written aside and linked into place: a second process that makes one at the same moment loses, whole.
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as out:
        json.dump(content, out, indent=1)
        out.flush()
        os.fsync(out.fileno())
    try:
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink()


def _read(path: Path) -> KeyRing:
    if path.stat().st_mode & 0o077:
        raise KeyRingError(f"The key ring {path.name} can be read by others. Set its mode to 0600.")
    try:
        content = json.loads(path.read_text(encoding="ascii"))
        ring = KeyRing(
            active=content["active"],
            wrapping={name: bytes.fromhex(key) for name, key in content["wrapping"].items()},
            digest_key=bytes.fromhex(content["digest"]),
        )
    except (ValueError, KeyError, AttributeError, TypeError):
        raise KeyRingError(f"The key ring {path.name} is damaged. Put back a good copy of it.") from None
    if any(len(key) != KEY_OCTETS for key in (*ring.wrapping.values(), ring.digest_key)):
        raise KeyRingError(f"The key ring {path.name} holds a key that is not {KEY_OCTETS} octets long.")
    ring.wrapping_key(ring.active)
    return ring
