"""Asking an address outside the house, so that nobody can make the book ask one inside.

The name is resolved once, every address found is judged (planning.reaching), and the connection goes to the address
that was judged, so that a name that changes its mind in between gains nothing. TLS is checked against the name.
Redirects are not followed, the body of the answer is not read, and the whole call has one time limit.
"""

import socket
from collections.abc import Mapping
from contextlib import suppress
from http.client import HTTPException
from threading import Event, Timer

from django.conf import settings
from urllib3.connection import HTTPConnection, HTTPSConnection
from urllib3.exceptions import HTTPError

from fleet.planning.reaching import PORTS, ReachError, Target, may_reach, target

CONNECT_SECONDS = 5
WHOLE_CALL_SECONDS = 20


class NoAnswer(Exception):
    """Nobody answered there, or the address may not be called; the sentence says why."""


def call_out(
    method: str,
    address: str,
    headers: Mapping[str, str],
    body: bytes = b"",
    limit: float = WHOLE_CALL_SECONDS,
) -> int:
    """The status of the answer. Raises NoAnswer."""
    try:
        found = target(address)
    except ReachError as error:
        raise NoAnswer(str(error)) from None
    failure = ""
    for numeric in _judged(found):
        try:
            return _ask(numeric, found, method, headers, body, limit)
        except (HTTPError, HTTPException, OSError) as error:
            # The kind of error only: its text may repeat the address with what the receiver hides in it.
            failure = type(error).__name__
    raise NoAnswer(f"Nobody answered at {found.host}: {failure}.")


def _judged(found: Target) -> list[str]:
    """The numeric addresses of the host, all of them open. Raises NoAnswer."""
    try:
        answers = socket.getaddrinfo(found.host, found.port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        raise NoAnswer(f"The name {found.host} leads nowhere.") from None
    numeric = list(dict.fromkeys(str(answer[4][0]) for answer in answers))
    if not numeric or not all(may_reach(each, settings.EVENTS_MAY_REACH) for each in numeric):
        raise NoAnswer(
            f"{found.host} lies in a network that the book may not call; "
            "SPAREBOOK_EVENTS_MAY_REACH names those of the firm's own that it may."
        )
    return numeric


def _ask(
    numeric: str, found: Target, method: str, headers: Mapping[str, str], body: bytes, limit: float
) -> int:
    connection = _connection(numeric, found)
    late = Event()
    cut = Timer(limit, _cut, [connection, late])
    cut.daemon = True
    cut.start()
    try:
        told = {**headers, "host": _host(found), "user-agent": "Sparebook", "connection": "close"}
        connection.request(method, found.path, body=body or None, headers=told, preload_content=False)
        status = int(connection.getresponse().status)
    finally:
        cut.cancel()
        connection.close()
    if late.is_set():
        raise TimeoutError
    return status


def _connection(numeric: str, found: Target) -> HTTPConnection:
    if found.scheme == "http":
        return HTTPConnection(numeric, found.port, timeout=CONNECT_SECONDS)
    return HTTPSConnection(numeric, found.port, timeout=CONNECT_SECONDS, server_hostname=found.host)


def _cut(connection: HTTPConnection, late: Event) -> None:
    """End a call that drips on: whoever waits for its next octet gets none."""
    late.set()
    with suppress(AttributeError, OSError):
        connection.sock.shutdown(socket.SHUT_RDWR)


def _host(found: Target) -> str:
    name = f"[{found.host}]" if ":" in found.host else found.host
    return name if found.port == PORTS[found.scheme] else f"{name}:{found.port}"
