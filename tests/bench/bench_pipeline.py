"""What the pure pipeline costs beside bare libraries, and how small dailies become beside git and zstd.

Run from the project's folder: python -m tests.bench.bench_pipeline
Both sides of every ratio are measured in turn in one run, and the best of many rounds is taken of each.
"""

import os
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from pathlib import Path
from statistics import mean
from time import perf_counter

import orjson
import zstandard
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from fleet.snapshots import own_layout
from fleet.snapshots.checking import Context, before_of, check
from fleet.snapshots.comparing import compare
from fleet.snapshots.decoding import decode
from fleet.snapshots.digests import digest_of_bytes, key_mark, meaning_digest
from fleet.snapshots.packing import pack, unpack
from fleet.snapshots.sealing import OVERHEAD_OCTETS, associated_data, seal
from tests.fleet.snapshots import making

ROUNDS, CALLS = 60, 20
NODES_OF_15_KB, NODES_OF_22_KB = 42, 62
HOLD_RATIO, HOLD_OCTETS = 3.0, 380
DAYS = 60
KEY, NONCE = bytes(range(32)), bytes(12)
PLACE = associated_data("snapshot", "client", "mesh", 1)


def best_of(parts: dict[str, Callable[[], object]]) -> dict[str, float]:
    """Microseconds a call of each part, all parts in turn within every round."""
    best = dict.fromkeys(parts, float("inf"))
    for _ in range(ROUNDS):
        for name, part in parts.items():
            start = perf_counter()
            for _ in range(CALLS):
                part()
            best[name] = min(best[name], (perf_counter() - start) / CALLS * 1e6)
    return best


def pipeline() -> None:
    """One arriving document, from octets to sealed octets."""
    body = making.octets(making.document(seed=1, nodes=NODES_OF_15_KB))
    value = decode(body)
    facts = own_layout.read(value)
    mark = key_mark(KEY, facts.network_key)
    earlier = replace(
        facts, taken_at=making.TAKEN - making.DAY, outgoing_counter=facts.outgoing_counter - 900
    )
    context = Context(
        received_at=making.TAKEN,
        head_address=facts.head_address,
        extended_pan_id=facts.extended_pan_id,
        key_mark=mark,
        key_used_elsewhere=False,
        before=before_of(earlier, mark),
    )
    compressor, cipher = zstandard.ZstdCompressor(), AESGCM(KEY)

    def floor() -> None:
        orjson.loads(body)
        sha256(body).digest()
        cipher.encrypt(NONCE, compressor.compress(body), PLACE)

    def floor_with_schema() -> None:
        own_layout.SCHEMA.fits(orjson.loads(body))
        sha256(body).digest()
        cipher.encrypt(NONCE, compressor.compress(body), PLACE)

    def ours() -> None:
        check(own_layout.read(decode(body)), context)
        seal(KEY, pack(body), PLACE, NONCE)

    took = best_of(
        {
            "floor: orjson, SHA-256, zstd, AES-GCM": floor,
            "floor with the schema held against it": floor_with_schema,
            "decode + read + check + pack + seal": ours,
            "  decode": lambda: decode(body),
            "  read": lambda: own_layout.read(value),
            "  check": lambda: check(facts, context),
            "  pack and seal": lambda: seal(KEY, pack(body), PLACE, NONCE),
            "beside it: SHA-256 of the document": lambda: digest_of_bytes(body),
            "beside it: digest of the meaning": lambda: meaning_digest(facts, KEY),
        }
    )
    bare, with_schema, whole = list(took.values())[:3]
    print(f"One document of {len(body)} octets, {NODES_OF_15_KB} nodes")
    for name, microseconds in took.items():
        print(f"  {name:40} {microseconds:8.1f} us {microseconds / bare:6.2f}x")
    print(
        f"  ratio to the floor {whole / bare:.2f}, with the schema {whole / with_schema:.2f}: hold {HOLD_RATIO}"
    )


def comparing() -> None:
    """Two copies of 250 nodes."""
    document = making.document(seed=4, nodes=250)
    older = own_layout.read(document)
    newer = own_layout.read(making.next_day(document, 1))
    took = best_of({"compare": lambda: compare(older, newer)})["compare"]
    print(f"Two copies of 250 nodes compared in {took / 1000:.2f} ms: hold 100 ms")


def storage() -> None:
    """A quiet mesh read daily: octets per stored copy, the one whole copy left out."""
    for share_heard in (0.1, 0.3, 0.6, 1.0):
        document = making.document(seed=1, nodes=NODES_OF_22_KB)
        bodies = [making.octets(document)]
        for day in range(DAYS):
            document = making.next_day(document, day, share_heard)
            bodies.append(making.octets(document))
        best = zstandard.ZstdCompressor(level=19)
        print(
            f"Dailies of {len(bodies[0])} octets, {share_heard:.0%} of the nodes heard since the day before"
        )
        print(f"  git, packed hard            {git_octets(bodies):6.0f}")
        print(f"  zstd -19 a file             {mean(len(best.compress(body)) for body in bodies):6.0f}")
        for age in (1, 7, 14, 30):
            rows = [
                row
                for start in range(0, DAYS - age + 1, age)
                for row in sealed(bodies[start : start + age + 1])
            ]
            sizes, took = [size for size, _ in rows], mean(took for _, took in rows)
            print(
                f"  sealed, a base for {age:2} days  {mean(sizes):6.0f}  largest {max(sizes)}"
                f"  packed in {took * 1e3:.1f} ms: hold {HOLD_OCTETS}"
            )


def sealed(bodies: list[bytes]) -> list[tuple[int, float]]:
    """Size when sealed, and seconds to pack, of every document but the first, which is the base."""
    rows = []
    for body in bodies[1:]:
        start = perf_counter()
        packed = pack(body, bodies[0])
        took = perf_counter() - start
        if unpack(packed, bodies[0]) != body:
            raise SystemExit("a document did not come back as it was")
        rows.append((len(packed) + OVERHEAD_OCTETS, took))
    return rows


def git_octets(bodies: list[bytes]) -> float:
    """Octets a document in a git pack, after aggressive repacking, the largest (whole) one left out."""
    with tempfile.TemporaryDirectory() as folder:
        for body in bodies:
            Path(folder, "document").write_bytes(body)
            if not Path(folder, ".git").exists():
                git(folder, "init", "-q")
            git(folder, "add", "document")
            git(folder, "commit", "-qm", "day")
        git(folder, "repack", "-adfq", "--depth=250", "--window=250")
        (index,) = Path(folder, ".git/objects/pack").glob("*.idx")
        lines = git(folder, "verify-pack", "-v", str(index)).splitlines()
        sizes = sorted(int(line.split()[3]) for line in lines if " blob " in line)
    return mean(sizes[:-1])


def git(folder: str, *arguments: str) -> str:
    author = ["-c", "user.name=bench", "-c", "user.email=bench@firm.example"]
    plain = os.environ | {"GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull}
    done = subprocess.run(
        ["git", "-C", folder, *author, *arguments], check=True, capture_output=True, text=True, env=plain
    )
    return done.stdout


if __name__ == "__main__":
    pipeline()
    comparing()
    storage()
