"""Sealing: data keys wrapped by a key ring, documents encrypted and bound to their place.

Keys, nonces and random octets are arguments: nothing is drawn or stored here. A sealed document is one
version octet, a 12-octet nonce, then AES-256-GCM cipher text with its 16-octet tag (NIST SP 800-38D). A nonce
is never used twice under one data key. Data keys are wrapped by AES key wrap (RFC 3394).
"""

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.keywrap import InvalidUnwrap, aes_key_unwrap, aes_key_wrap

DATA_KEY_OCTETS = 32
NONCE_OCTETS = 12
TAG_OCTETS = 16
OVERHEAD_OCTETS = 1 + NONCE_OCTETS + TAG_OCTETS

_VERSION = b"\x01"
_WRAP_OCTETS = 8


class SealError(ValueError):
    """Something that does not open or cannot be sealed; the message says why and repeats no secret."""


def new_data_key(random_bytes: bytes) -> bytes:
    """A client's data key from 32 octets of the system's randomness. Raises SealError."""
    if len(random_bytes) != DATA_KEY_OCTETS:
        raise SealError(f"{len(random_bytes)} random octets: a data key takes {DATA_KEY_OCTETS}")
    if len(set(random_bytes)) == 1:
        raise SealError("the random octets are all the same: their source does not work")
    return bytes(random_bytes)


def wrap(kek: bytes, data_key: bytes) -> bytes:
    """A data key under a key of the key ring (16, 24 or 32 octets), 8 octets longer. Raises SealError."""
    try:
        return aes_key_wrap(kek, data_key)
    except ValueError as error:
        raise SealError(_wrong_sizes(kek, data_key)) from error


def unwrap(kek: bytes, wrapped: bytes) -> bytes:
    """The data key. Raises SealError for a damaged one or one wrapped by another key."""
    try:
        return aes_key_unwrap(kek, wrapped)
    except InvalidUnwrap:
        raise SealError(
            "the wrapped data key is damaged, or another key of the key ring wrapped it"
        ) from None
    except ValueError as error:
        raise SealError(_wrong_sizes(kek, wrapped[_WRAP_OCTETS:])) from error


def mended(kek: bytes, wrapped: bytes) -> bytes:
    """A wrapped data key with its one flipped bit put right. SealError where more is wrong.

    The check of RFC 3394 tells right from wrong but for one case in 2^64, so every bit is tried in turn.
    """
    for bit in range(8 * len(wrapped)):
        candidate = bytearray(wrapped)
        candidate[bit // 8] ^= 1 << bit % 8
        try:
            unwrap(kek, bytes(candidate))
        except SealError:
            continue
        return bytes(candidate)
    raise SealError("the wrapped data key is damaged in more than one bit, or another key wrapped it")


def associated_data(kind: str, *parts: str | int | bytes) -> bytes:
    """What a sealed document is bound to: its kind and its place, such as client, mesh and row.

    Every part goes in with its type and length, so that no two lists of parts give the same octets.
    """
    return b"".join(_part(part) for part in (kind, *parts))


def seal(data_key: bytes, plain: bytes, associated: bytes, nonce: bytes) -> bytes:
    """A document under a data key, OVERHEAD_OCTETS longer. The nonce must be new. Raises SealError."""
    if len(data_key) != DATA_KEY_OCTETS:
        raise SealError(f"a data key of {len(data_key)} octets: right are {DATA_KEY_OCTETS}")
    return _VERSION + nonce + encrypt(data_key, plain, _VERSION + associated, nonce)


def open_sealed(data_key: bytes, sealed: bytes, associated: bytes) -> bytes:
    """The document. Raises SealError where one bit is changed, or the place or the key is another."""
    if len(data_key) != DATA_KEY_OCTETS:
        raise SealError(f"a data key of {len(data_key)} octets: right are {DATA_KEY_OCTETS}")
    if len(sealed) < OVERHEAD_OCTETS:
        raise SealError(f"{len(sealed)} octets are too few for a sealed document: it is cut off")
    if sealed[:1] != _VERSION:
        raise SealError(f"sealed in version {sealed[0]}, which is not known: right is {_VERSION[0]}")
    nonce = sealed[1 : 1 + NONCE_OCTETS]
    return decrypt(data_key, sealed[1 + NONCE_OCTETS :], _VERSION + associated, nonce)


def encrypt(key: bytes, plain: bytes, associated: bytes, nonce: bytes) -> bytes:
    """AES-GCM with a key of 16, 24 or 32 octets and a nonce of 12: cipher text, then the tag."""
    if len(nonce) != NONCE_OCTETS:
        raise SealError(f"a nonce of {len(nonce)} octets: right are {NONCE_OCTETS}")
    return AESGCM(key).encrypt(nonce, plain, associated)


def decrypt(key: bytes, cipher: bytes, associated: bytes, nonce: bytes) -> bytes:
    """The reverse of encrypt. Raises SealError."""
    try:
        return AESGCM(key).decrypt(nonce, cipher, associated)
    except InvalidTag:
        raise SealError("this does not open: it is damaged, belongs elsewhere, or has another key") from None


def _part(part: str | int | bytes) -> bytes:
    if isinstance(part, str):
        tag, data = b"t", part.encode()
    elif isinstance(part, int):
        tag, data = b"n", str(part).encode()
    else:
        tag, data = b"o", part
    return tag + len(data).to_bytes(4, "big") + data


def _wrong_sizes(kek: bytes, data_key: bytes) -> str:
    return (
        f"a wrapping key of {len(kek)} octets and a data key of {len(data_key)}: "
        "right are 16, 24 or 32, and a multiple of 8 from 16 on"
    )
