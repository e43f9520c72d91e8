"""python manage.py messages {list,send,preview}: what the book tells people by mail."""

import json
from datetime import datetime
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fleet.management.tables import table
from fleet.models import Message
from fleet.models.message import LANGUAGES
from fleet.queries.clock import book_time
from fleet.queries.readers import Reader, wishes_of
from fleet.verbs import send, tell
from sites.models import Person

NEWEST = 50


class Command(BaseCommand):
    help = (
        "list: the newest messages, to whom, and whether they were sent. "
        "send: write what is due, send what waits; exit status 0 only where nothing failed. "
        "preview: print the morning list as it would be written for somebody now; nothing is kept or sent."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("act", choices=["list", "send", "preview"])
        parser.add_argument("--to", metavar="USER", help="preview: for whom (default: the first owner)")
        parser.add_argument(
            "--language", choices=[code for code, _ in LANGUAGES], help="preview: in which language"
        )
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["act"] == "list":
            self.list(options["json"])
        elif options["act"] == "send":
            self.send(options["json"])
        else:
            self.preview(options["to"], options["language"], options["json"])

    def list(self, as_json: bool) -> None:
        facts = [
            {
                "at": _stamp(message.made_at),
                "kind": message.get_kind_display(),
                "to": message.address,
                "state": message.state,
                "tries": message.tries,
                "subject": message.subject,
                "error": message.last_error,
            }
            for message in Message.objects.all()[:NEWEST]
        ]
        if as_json:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
        elif facts:
            self.stdout.write(table(tuple(facts[0]), [tuple(map(str, each.values())) for each in facts]))
        else:
            self.stdout.write("No message was written yet.")

    def send(self, as_json: bool) -> None:
        time = book_time()
        written = tell.tell(time.now)
        sent = send.send_due(time.clock)
        if as_json:
            facts = {"written": len(written), "sent": sent.sent, "failed": sent.failed}
            self.stdout.write(json.dumps(facts, indent=1))
        else:
            self.stdout.write(f"{len(written)} messages written, {sent.sent} sent, {sent.failed} failed.")
        if sent.failed:
            raise CommandError(f"{sent.failed} messages could not be sent; they will be tried again.")

    def preview(self, username: str | None, language: str | None, as_json: bool) -> None:
        wishes = wishes_of(_person(username))
        wishes.language = language or wishes.language
        letter = tell.preview(Reader(wishes.person, wishes), book_time().now)
        if as_json:
            facts = {"language": wishes.language, "subject": letter.subject, "body": letter.body}
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
        else:
            self.stdout.write(f"{letter.subject}\n\n{letter.body}")


def _person(username: str | None) -> Person:
    people = Person.objects.filter(is_active=True)
    person = (
        people.filter(username=username).first()
        if username
        else people.order_by("-is_superuser", "pk").first()
    )
    if person is None:
        raise CommandError(
            f"There is nobody named {username} in this book." if username else "There is nobody in this book."
        )
    return person


def _stamp(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M} UTC"
