"""A real mail server that keeps what it is sent."""

import email
from collections.abc import Iterator
from contextlib import contextmanager
from email import policy

from aiosmtpd.controller import Controller

from tests.own_servers import free_port


class Mailbox:
    """Keeps what it is sent; says no where `answer` says so."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.letters: list[bytes] = []
        self.answer = "250 taken"

    async def handle_DATA(self, server, session, envelope) -> str:  # noqa: N802
        if self.answer.startswith("250"):
            self.letters.append(envelope.content)
        return self.answer

    @property
    def mails(self) -> list[email.message.EmailMessage]:
        return [email.message_from_bytes(letter, policy=policy.default) for letter in self.letters]


@contextmanager
def mailbox() -> Iterator[Mailbox]:
    """Serve until the block ends."""
    found = Mailbox(free_port())
    control = Controller(found, hostname="127.0.0.1", port=found.port)
    control.start()
    try:
        yield found
    finally:
        control.stop()
