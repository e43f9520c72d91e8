"""The key ring: the firm's wrapping keys, in a file outside the database.

The file holds the keys that wrap every client's data key, and one key for keyed digests. It is made on first
use, readable by its owner only. Whoever has the database but not this file can open nothing.
"""

import fcntl
import json
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
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


_loaded: dict[Path, tuple[tuple[int, ...], KeyRing]] = {}


def load() -> KeyRing:
    """The ring of this book, made on first use; read again only when the file has changed."""
    path = Path(settings.KEYRING_FILE)
    try:
        stamp = _stamp(path)
    except FileNotFoundError:
        _make(path)
        stamp = _stamp(path)
    known = _loaded.get(path)
    if known is None or known[0] != stamp:
        known = (stamp, _read(path))
        _loaded[path] = known
    return known[1]


def _stamp(path: Path) -> tuple[int, ...]:
    # Two changes within one tick of the clock leave equal times, but not one file.
    seen = path.stat()
    return seen.st_mtime_ns, seen.st_ino, seen.st_size


@contextmanager
def held() -> Iterator[None]:
    """The right to change the ring, for one process at a time; KeyRingError while another has it.

    Two that changed it at once would each lose the other's key. A killed process lets go by itself.
    """
    path = Path(settings.KEYRING_FILE).with_name(".keyring.lock")
    handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    except BlockingIOError:
        raise KeyRingError("The key ring is being renewed at this moment. Wait until that is done.") from None
    finally:
        os.close(handle)


def add_key() -> KeyRing:
    """Put a new wrapping key into the ring and make it the active one; the others stay. Call it while `held`."""
    ring = load()
    name = _new_name()
    return _write(name, {**ring.wrapping, name: secrets.token_bytes(KEY_OCTETS)}, ring.digest_key)


def drop_old_keys() -> KeyRing:
    """Leave only the active wrapping key in the ring; what another one still wraps can never be opened again.

    Call it while `held`. Drafts that a killed process left behind hold old keys and go too.
    """
    ring = load()
    ring = _write(ring.active, {ring.active: ring.wrapping_key(ring.active)}, ring.digest_key)
    path = Path(settings.KEYRING_FILE)
    for draft in path.parent.glob(f".{path.name}.*"):
        draft.unlink(missing_ok=True)
    _settle(path)
    return ring


def _write(active: str, wrapping: dict[str, bytes], digest_key: bytes) -> KeyRing:
    path = Path(settings.KEYRING_FILE)
    os.replace(_draft(path, active, wrapping, digest_key), path)
    _settle(path)
    return load()


def _make(path: Path) -> None:
    name = _new_name()
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    draft = _draft(path, name, {name: secrets.token_bytes(KEY_OCTETS)}, secrets.token_bytes(KEY_OCTETS))
    try:
        # Linked into place: a second process that makes one at the same moment loses, whole.
        os.link(draft, path)
    except FileExistsError:
        pass
    finally:
        draft.unlink(missing_ok=True)
    _settle(path)


def _new_name() -> str:
    return f"ring-{secrets.token_hex(4)}"


def _draft(path: Path, active: str, wrapping: dict[str, bytes], digest_key: bytes) -> Path:
    """The ring written aside and on disk before anything points to it."""
    content = {
        "version": VERSION,
        "active": active,
        "wrapping": {name: key.hex() for name, key in wrapping.items()},
        "digest": digest_key.hex(),
    }
    draft = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as out:
        json.dump(content, out, indent=1)
        out.flush()
        os.fsync(out.fileno())
    return draft


def _settle(path: Path) -> None:
    """The folder's entry on disk too: no row may be wrapped under a key that a power cut could take back."""
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


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
