"""The floor of the push path: what no program can do without, by bare libraries and one INSERT.

Decode (orjson), check (the layout's schema), digest (SHA-256), pack (zstd), seal (AES-256-GCM), one row by psycopg,
committed. No token, no register, no history, no framework. FLOOR_DATABASE says where.
"""

import os
from collections.abc import Callable, Iterable
from hashlib import sha256
from threading import local

import orjson
import psycopg
import zstandard
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from fleet.snapshots.own_layout import SCHEMA

TABLE = "CREATE TABLE IF NOT EXISTS floor (id bigserial PRIMARY KEY, sha256 bytea NOT NULL, sealed bytea NOT NULL)"
CREATED = [("Content-Type", "application/json"), ("Content-Length", "2")]
CIPHER = AESGCM(bytes(range(32)))
PLACE = b"snapshot client mesh row"


class Tools(local):
    """A connection and a compressor for each thread."""

    def __init__(self) -> None:
        self.database = psycopg.connect(os.environ["FLOOR_DATABASE"], autocommit=True)
        self.database.execute(TABLE)
        self.packer = zstandard.ZstdCompressor(level=1)


TOOLS = Tools()


def application(environ: dict[str, object], start_response: Callable[..., object]) -> Iterable[bytes]:
    """One document in, one row, 201."""
    body = environ["wsgi.input"].read(int(environ["CONTENT_LENGTH"]))  # type: ignore[attr-defined]
    if not SCHEMA.fits(orjson.loads(body)):
        raise SystemExit("the floor is fed with good documents only")
    nonce = os.urandom(12)
    sealed = nonce + CIPHER.encrypt(nonce, TOOLS.packer.compress(body), PLACE)
    TOOLS.database.execute(
        "INSERT INTO floor (sha256, sealed) VALUES (%s, %s)", (sha256(body).digest(), sealed)
    )
    start_response("201 Created", CREATED)
    return (b"{}",)
