"""A real HTTP server that receives events, and a book that may call it."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

from standardwebhooks import Webhook


@dataclass
class Heard:
    """One request as it came."""

    path: str
    headers: dict[str, str]
    body: bytes

    @property
    def mark(self) -> str:
        return self.headers["webhook-id"]

    def said(self, secret: str) -> dict:
        """What it says, once the reference library has checked the signature."""
        return Webhook(secret).verify(self.body, self.headers)


@dataclass
class Listening:
    """What came in; `answer` is the status given back, or a function of the request."""

    port: int
    answer: object = 204
    headers: dict[str, str] = field(default_factory=dict)
    heard: list[Heard] = field(default_factory=list)

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}/events"


@contextmanager
def listening(wrap_socket=None) -> Iterator[Listening]:
    """Serve until the block ends. `wrap_socket` makes it speak TLS."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers.get("content-length", 0)))
            request = Heard(self.path, {name.lower(): value for name, value in self.headers.items()}, body)
            found.heard.append(request)
            self.send_response(found.answer(request) if callable(found.answer) else found.answer)
            for name, value in found.headers.items():
                self.send_header(name, value)
            self.end_headers()

        do_GET = do_POST  # noqa: N815

        def log_message(self, *args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    found = Listening(server.server_address[1])
    if wrap_socket:
        server.socket = wrap_socket(server.socket)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield found
    finally:
        server.shutdown()
        server.server_close()
