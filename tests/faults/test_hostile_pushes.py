"""What a machine gone wrong, or somebody who means harm, can send to a running server: a clear answer each time.

Every answer of the program is a problem document (RFC 9457); nothing takes a second, nothing is half-written, and a
good document is taken in afterwards.
"""

import gzip
import json
import sqlite3
import zlib
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime

import pytest

from tests.faults.serving import Answer, Served
from tests.fleet.snapshots import making

SECONDS = 1.0
MEMORY = 200_000_000
MIB = 1 << 20
DOCUMENT = making.octets(making.document(seed=5))
DEEP, WIDE = 100_000, 1_000_000
HOSTILE = {
    "empty": b"",
    "blanks": b" " * MIB,
    "lists in lists": b"[" * DEEP + b"]" * DEEP,
    "objects in objects": b'{"a":' * DEEP + b"1" + b"}" * DEEP,
    "lists without an end": b"[" * (4 * MIB),
    "a number of a million digits": b"1" * MIB,
    "a number past every float": b"1e999999999",
    "an integer of 65 bits": b'{"n": 18446744073709551616}',
    "a name twice": b'{"sparebook": 1, "sparebook": 2}',
    "a name twice, written in two ways": b'{"a": 1, "\\u0061": 2}',
    "NaN": b'{"channel": NaN}',
    "Infinity": b"[-Infinity]",
    "UTF-16": DOCUMENT.decode().encode("utf-16"),
    "UTF-16 without a mark": DOCUMENT.decode().encode("utf-16-le"),
    "UTF-32": DOCUMENT.decode().encode("utf-32-be"),
    "a byte order mark": b"\xef\xbb\xbf" + DOCUMENT,
    "an octet that is not UTF-8": b'{"a": "\xff"}',
    "half a surrogate pair": b'"\\ud800"',
    "octets of zero": bytes(MIB),
    "cut short": DOCUMENT[:-40],
    "something after its end": DOCUMENT + b"}",
    "two million values": b"[" + b"0," * (2 * MIB - 2) + b"0]",
    "a name of a megabyte": b'{"' + b"n" * MIB + b'": 1}',
    "not JSON at all": b"<html>" + b"x" * 4000,
    "gzip without saying so": gzip.compress(DOCUMENT),
    "an archive": b"PK\x03\x04" + bytes(100),
    "a path": b'"../../../../etc/passwd"',
    "a formula": b'{"label": "=cmd|calc"}',
}
ENCODED = {
    "a bomb": ("gzip", gzip.compress(bytes(300 * MIB))),
    "a bomb in a bomb": ("gzip", gzip.compress(gzip.compress(bytes(300 * MIB)))),
    "many members": ("gzip", gzip.compress(b" ") * 40_000),
    "zlib called gzip": ("gzip", zlib.compress(DOCUMENT)),
    "plain called gzip": ("gzip", DOCUMENT),
    "cut short": ("gzip", gzip.compress(DOCUMENT)[:-9]),
    "a wrong checksum": ("gzip", gzip.compress(DOCUMENT)[:-8] + bytes(8)),
    "nothing called gzip": ("gzip", b""),
    "another encoding": ("br", DOCUMENT),
    "two encodings": ("gzip, gzip", gzip.compress(gzip.compress(DOCUMENT))),
    "nonsense": ("\xff" * 200, DOCUMENT),
}


def is_a_problem(answer: Answer) -> bool:
    """RFC 9457, with the members that this book always gives."""
    body = json.loads(answer.body)
    return (
        answer.headers["content-type"] == "application/problem+json"
        and body["type"] == "about:blank"
        and body["status"] == answer.status
        and bool(body["title"])
        and bool(body["detail"])
    )


def takes_a_good_document(server: Served) -> bool:
    taken = making.document(seed=5)
    taken["taken"] = making.stamp(datetime.now(UTC))
    return server.push(making.octets(taken)).status in (200, 201)


def asked(server: Served, question: str) -> list[tuple]:
    with closing(sqlite3.connect(f"file:{server.book.database}?mode=ro", uri=True)) as database:
        return database.execute(question).fetchall()


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_document_is_refused_with_its_reason_and_kept(server: Served, name: str):
    worked = server.worked_seconds()

    answer = server.push(HOSTILE[name])

    assert server.worked_seconds() - worked < SECONDS
    assert answer.status in (202, 413, 422)
    assert is_a_problem(answer)


@pytest.mark.parametrize("name", ENCODED)
def test_a_body_that_is_not_what_it_says_is_refused(server: Served, name: str):
    encoding, body = ENCODED[name]
    worked = server.worked_seconds()

    answer = server.push(body, Content_Encoding=encoding)

    assert server.worked_seconds() - worked < SECONDS
    assert answer.status in (400, 413, 415, 422)
    assert is_a_problem(answer)


@pytest.mark.parametrize("method", ["GET", "HEAD", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE", "MKCOL"])
def test_another_method_is_not_offered(server: Served, method: str):
    answer = server.ask(method, server.book.path, b"{}", {"Authorization": f"Bearer {server.book.token}"})

    assert answer.status == 405
    assert answer.headers["allow"] == "POST"
    assert method == "HEAD" or is_a_problem(answer)


@pytest.mark.parametrize(
    "token", ["", "Bearer", "Bearer ", "Bearer \xff\xfe", "Basic b3JsYTp4", f"Bearer {'x' * 4000}"]
)
def test_without_a_good_token_it_says_which_header_is_missing(server: Served, token: str):
    answer = server.ask("POST", server.book.path, DOCUMENT, {"Authorization": token})

    assert answer.status == 401
    assert answer.headers["www-authenticate"].startswith("Bearer")
    assert is_a_problem(answer)


@pytest.mark.parametrize(
    "path",
    [
        "/api/v1/meshes/KELP-7-B/snapshots/",
        "/api/v1/meshes/%00/snapshots/",
        "/api/v1/meshes/%F0%9F%98%80/snapshots/",
        "/api/v1/meshes/..%2f..%2fetc/snapshots/",
        f"/api/v1/meshes/{'K' * 4000}/snapshots/",
        "/api/v1/nothing/",
        "/api/",
    ],
)
def test_another_address_is_not_found(server: Served, path: str):
    answer = server.ask("POST", path, DOCUMENT, {"Authorization": f"Bearer {server.book.token}"})

    assert answer.status == 404
    assert is_a_problem(answer)


def test_without_the_last_slash_it_is_the_same_address(server: Served):
    address = server.book.path.rstrip("/")

    answer = server.ask("POST", address, DOCUMENT, {"Authorization": f"Bearer {server.book.token}"})

    assert answer.status in (200, 201)


def head_of(server: Served, *lines: str) -> bytes:
    lines = (
        f"POST {server.book.path} HTTP/1.1",
        "Host: 127.0.0.1",
        f"Authorization: Bearer {server.book.token}",
        "Connection: close",
        *lines,
    )
    return "\r\n".join(lines).encode() + b"\r\n\r\n"


def status_of(octets: bytes) -> int:
    return int(octets.split(b" ", 2)[1])


def test_a_body_in_chunks_is_taken_whole_or_refused_with_the_reason(server: Served):
    chunks = b"".join(b"%x\r\n%s\r\n" % (len(part), part) for part in (DOCUMENT[:100], DOCUMENT[100:]))

    came = server.send(head_of(server, "Transfer-Encoding: chunked") + chunks + b"0\r\n\r\n")

    assert status_of(came) in (200, 201, 411)
    if status_of(came) == 411:
        assert b"Content-Length" in came


@pytest.mark.parametrize("length", ["-1", "0x10", "1, 2", "10 20", "9" * 40])
def test_a_length_that_is_none_is_refused(server: Served, length: str):
    came = server.send(head_of(server, f"Content-Length: {length}") + b"{}")

    assert status_of(came) in (400, 411, 413)


def test_two_lengths_at_once_are_refused(server: Served):
    came = server.send(head_of(server, "Content-Length: 2", "Transfer-Encoding: chunked") + b"0\r\n\r\n")

    # RFC 9112, 6.3: refused, or the chunks hold, of which there are none.
    assert status_of(came) in (400, 411, 422)


def test_a_header_that_is_too_long_is_refused(server: Served):
    came = server.send(head_of(server, f"X-File-Name: {'n' * 1_000_000}", "Content-Length: 2") + b"{}")

    assert came == b"" or status_of(came) in (400, 413, 431)


def test_a_file_name_of_any_letters_is_kept_short(server: Served):
    assert server.push(DOCUMENT, X_File_Name="../\xff" * 300).status in (200, 201)

    longest = asked(server, "SELECT max(length(file_name)) FROM fleet_arrival")
    assert longest == [(200,)]


def test_a_body_past_the_limit_is_read_past_and_refused(server: Served):
    answer = server.push(b" " * (30 * MIB))

    assert answer.status == 413
    assert is_a_problem(answer)


def test_half_an_upload_leaves_nothing_behind(server: Served):
    before = asked(
        server, "SELECT (SELECT count(*) FROM fleet_trayitem), (SELECT count(*) FROM fleet_snapshot)"
    )

    for part in (0, 1, len(DOCUMENT) // 2, len(DOCUMENT) - 1):
        head = head_of(server, f"Content-Length: {len(DOCUMENT)}")
        came = server.send(head + DOCUMENT[:part], half_close=True)
        assert came == b"" or status_of(came) == 400

    after = asked(
        server, "SELECT (SELECT count(*) FROM fleet_trayitem), (SELECT count(*) FROM fleet_snapshot)"
    )
    assert after == before
    assert takes_a_good_document(server)


def test_fifty_pushes_of_one_document_at_once_are_one_record_and_fifty_arrivals(server: Served):
    document = making.document(seed=5)
    document["taken"] = making.stamp(datetime.now(UTC).replace(microsecond=0))
    document["security"]["outgoingCounter"] += 777
    body = making.octets(document)

    with ThreadPoolExecutor(50) as together:
        answers = list(together.map(lambda _: server.push(body), range(50)))

    assert sorted(answer.status for answer in answers) == [200] * 49 + [201]
    (place,) = {answer.headers["location"] for answer in answers}
    uid = place.split("/")[2].replace("-", "")
    counted = asked(
        server,
        "SELECT count(*) FROM fleet_arrival a JOIN fleet_snapshot s ON s.id = a.snapshot_id "
        f"WHERE s.uid = '{uid}'",
    )
    assert counted == [(50,)]


def test_after_all_of_it_the_server_stands_is_not_swollen_and_takes_a_good_document(server: Served):
    assert server.process.child.poll() is None
    assert takes_a_good_document(server)
    assert server.grown_by() < MEMORY
