"""kill -9 of `keyring renew` at many points: every data key still opens, the ring file is never lost.

The check shares no code with the program: the ring file is read as JSON, the rows through sqlite3, and keys are
unwrapped by the library's own RFC 3394.
"""

import json
import random
import sqlite3
import stat
import time
from contextlib import closing

import pytest
from cryptography.hazmat.primitives.keywrap import aes_key_unwrap

from tests.faults.book import PATIENCE_SECONDS, Book, made
from tests.faults.fill import DOCUMENTS

KEYS = 400
# Rows wrapped anew at the kill: the ring has its new key and nothing more; then some; the last ones; all of them. Each
# run goes on where the one before was killed.
POINTS = (0, *sorted(random.Random(3).sample(range(1, KEYS - 1), 3)), KEYS - 1, KEYS)
TRIES = 5


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return made(tmp_path_factory.mktemp("renewal"), KEYS)


def asked(book: Book, question: str, *given: str) -> list[tuple]:
    with closing(sqlite3.connect(f"file:{book.database}?mode=ro", uri=True)) as database:
        return database.execute(question, given).fetchall()


def ring(book: Book) -> dict:
    assert stat.S_IMODE(book.ring.stat().st_mode) == 0o600
    return json.loads(book.ring.read_text())


def opened(book: Book) -> dict[str, str]:
    """Each data key in clear, with the ring that is there now."""
    keys = {name: bytes.fromhex(key) for name, key in ring(book)["wrapping"].items()}
    rows = asked(book, "SELECT uid, ring_key, wrapped FROM fleet_datakey")
    return {uid: aes_key_unwrap(keys[name], wrapped).hex() for uid, name, wrapped in rows}


def known(book: Book) -> dict[str, str]:
    return {uid.replace("-", ""): key for uid, key in book.data_keys.items()}


def killed_after(book: Book, point: int) -> int:
    """SIGKILL a renewal once the ring has two keys and `point` rows are under the newer one; how many were by then."""
    process, until = book.manage("keyring", "renew"), time.monotonic() + PATIENCE_SECONDS
    done = 0
    while process.poll() is None and time.monotonic() < until:
        now = ring(book)
        if len(now["wrapping"]) == 1:
            continue
        ((done,),) = asked(book, "SELECT count(*) FROM fleet_datakey WHERE ring_key = ?", now["active"])
        if done >= point:
            break
    process.kill()
    process.communicate(timeout=PATIENCE_SECONDS)
    return done


def answer_of(book: Book, *words: str) -> dict:
    process = book.manage(*words, "--json")
    said, error = process.communicate(timeout=PATIENCE_SECONDS)
    assert process.returncode == 0, error.decode()
    return json.loads(said)


@pytest.mark.parametrize("point", POINTS)
def test_killed_anywhere_every_data_key_still_opens(book, point):
    digest_key = ring(book)["digest"]

    killed_after(book, point)

    assert opened(book) == known(book)
    assert ring(book)["digest"] == digest_key


def test_run_again_it_goes_on_and_ends_with_one_key_in_the_ring(book):
    done = KEYS
    for _ in range(TRIES):
        if not 0 < done < KEYS:  # not begun, or the kill came too late
            answer_of(book, "keyring", "renew")
            done = killed_after(book, KEYS // 3)
    began = ring(book)["active"]

    said = answer_of(book, "keyring", "renew")

    assert 0 < done < KEYS
    assert (said["made_now"], said["active"]) == (False, began)
    assert 0 < said["data_keys_wrapped_anew"] <= KEYS - done
    assert list(ring(book)["wrapping"]) == [began]
    assert opened(book) == known(book)


def test_nothing_that_a_killed_one_left_behind_holds_an_old_key(book):
    assert list(book.home.glob(".keyring.json.*")) == []


def test_every_document_opens_after_all_of_it(book):
    assert answer_of(book, "sealed", "verify")["opened"] == KEYS + DOCUMENTS
