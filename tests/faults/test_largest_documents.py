"""The setting for the largest document: it does what it says up to its own ceiling, and a book never starts beyond it.

At the ceiling the worst documents that anybody has thought of are sent to a running server.
"""

import gzip
from collections.abc import Iterator

import pytest

from fleet.snapshots.decoding import MAX_BYTES
from tests.faults.book import PATIENCE_SECONDS, Book, made
from tests.faults.serving import Served, served
from tests.fleet.snapshots import making

USUAL = 4 << 20
MEMORY = 200_000_000
FACE = "\U0001f600".encode()  # one such letter makes a text four times as large in memory


def padded(size: int) -> bytes:
    """A good document with blanks up to this size."""
    return making.octets(making.document(seed=5)).ljust(size)


def names(count: int = 90_000) -> bytes:
    each = MAX_BYTES // count - 16
    return b"{" + b",".join(b'"%06d%s%s":1' % (n, FACE, b"n" * each) for n in range(count)) + b"}"


def texts(count: int = 190_000) -> bytes:
    each = MAX_BYTES // count - 8
    return b"[" + b",".join(b'"%s%s"' % (FACE, b"a" * each) for _ in range(count)) + b"]"


def levels(count: int = 3_900) -> bytes:
    inner = b"[" * 38 + b",".join(b'"%s"' % (b"a" * 42) for _ in range(45)) + b"]" * 38
    return b"[" + b",".join([inner] * count) + b"]"


WORST = {
    "one text": b'["' + FACE + b"a" * (MAX_BYTES - 10) + b'"]',
    "names": names(),
    "texts": texts(),
    "levels": levels(),
    "numbers": b"[" + b",".join([b"1e300"] * 199_000) + b"]",
    "wrong at the end": b'["' + FACE + b"a" * (MAX_BYTES - 20) + b'", x]',
    "a name twice at the end": b'{"k":"' + FACE + b"a" * (MAX_BYTES - 40) + b'", "a":1,"a":2}',
    "blanks": b" " * MAX_BYTES,
}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Book:
    return made(tmp_path_factory.mktemp("largest"))


@pytest.fixture(scope="module")
def generous(book: Book) -> Iterator[Served]:
    """A book that takes as much as any may."""
    with served(book, "gunicorn", SPAREBOOK_INTAKE_LIMIT=str(MAX_BYTES)) as running:
        yield running


def test_a_larger_limit_takes_a_larger_document_in(generous: Served):
    assert generous.push(padded(MAX_BYTES)).status == 201
    assert generous.push(gzip.compress(padded(MAX_BYTES)), Content_Encoding="gzip").status == 200


def test_one_octet_more_is_refused(generous: Served):
    answer = generous.push(padded(MAX_BYTES + 1))

    assert answer.status == 413
    assert b"8388608" in answer.body


@pytest.mark.parametrize("name", WORST)
def test_the_worst_document_of_that_size_takes_no_200_megabytes(generous: Served, name: str):
    """How long each takes is measured in tests.bench.bench_largest."""
    assert generous.push(WORST[name]).status in (202, 422)

    assert generous.grown_by() < MEMORY


def test_without_the_setting_the_usual_limit_holds(book: Book):
    with served(book, "waitress") as usual:
        assert usual.push(padded(USUAL)).status in (200, 201)
        assert usual.push(padded(USUAL + 1)).status == 413


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (str(MAX_BYTES + 1), "SPAREBOOK_INTAKE_LIMIT is 8388609; a whole number from 1 to 8388608 is needed"),
        ("0", "a whole number from 1 to 8388608 is needed"),
        ("-5", "a whole number from 1 to 8388608 is needed"),
        ("4 MiB", "a whole number such as 4194304 is needed"),
    ],
)
def test_a_book_does_not_start_with_a_limit_that_it_cannot_hold(book: Book, value: str, says: str):
    process = book.manage("check", SPAREBOOK_INTAKE_LIMIT=value)

    _, error = process.communicate(timeout=PATIENCE_SECONDS)

    assert process.returncode != 0
    assert says in error.decode()


def test_the_command_takes_what_the_setting_allows(book: Book, tmp_path):
    path = tmp_path / "night.json"
    path.write_bytes(padded(USUAL + 1))

    answers = [
        book.manage("intake", "--mesh", book.code, str(path), SPAREBOOK_INTAKE_LIMIT=str(limit))
        for limit in (USUAL, MAX_BYTES)
    ]
    said = [process.communicate(timeout=PATIENCE_SECONDS)[0].decode() for process in answers]

    assert "at most 4194304 are taken" in said[0]
    assert "was here before" in said[1] or "taken in" in said[1]
    assert answers[0].returncode != 0
