"""python manage.py erase CLIENT --reason WHY --by NAME --second USER: destroy a client's data key."""

import json
import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.keyring import KeyRingError
from fleet.management.answers import client_named
from fleet.management.second import add_second, second_named
from fleet.models import Erasure
from fleet.queries.erasure import METHOD, ahead, remains, still_opening, went
from fleet.verbs.erase import EraseRefused, erase_client
from sites import access
from sites.models import Client


class Command(BaseCommand):
    help = (
        "Erase a client by destroying the data key under which all documents lie, with the documents, device names, "
        "push tokens and what waits in the tray; then say what remains, where, until when, and what to do. Cannot be "
        "undone. Refused while a legal hold stands. Asks for the client's name unless --yes is given, and for the "
        "password of the second person, who must be of the owner or the office. For a client who was erased before, "
        "say again what remains today."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "client", metavar="CLIENT", help="the name, its mark (uid), or the code of a home"
        )
        parser.add_argument("--reason", default="", metavar="WHY", help="why; it goes into the record")
        parser.add_argument("--by", default="", metavar="NAME", help="who erases")
        add_second(parser, "who agrees")
        parser.add_argument("--yes", action="store_true", help="do not ask for the name")
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        client = client_named(options["client"])
        row = Erasure.objects.filter(client=client).first()
        try:
            if row is None:
                if not options["yes"]:
                    self.ask(client)
                second = second_named(options, access.may_decide)
                names = (options["by"], str(second or ""))
                row = erase_client(client, options["reason"], *names, timezone.now())
            facts = facts_of(row)
        except (EraseRefused, KeyRingError) as error:
            raise CommandError(f"Nothing was erased. {error}") from None
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1, ensure_ascii=False))
        else:
            self.tell(row)

    def ask(self, client: Client) -> None:
        """The name, typed, or CommandError. Only a person at a terminal can answer."""
        if not sys.stdin.isatty():
            raise CommandError("Nobody is there to ask: give --yes where the client is certain.")
        coming = ahead(client)
        self.stderr.write(
            f"{client.name}: {coming.snapshots} snapshots of {coming.meshes} meshes and {coming.tray_documents} "
            "waiting documents will be erased. This cannot be undone."
        )
        if input("Type the client's name to go on: ").strip() != client.name:
            raise CommandError("That is not the name. Nothing was erased.")

    def tell(self, row: Erasure) -> None:
        self.stdout.write(f"{row.client.name} was erased on {row.at:%Y-%m-%d %H:%M} UTC. {METHOD}")
        for line in went(row):
            self.stdout.write(f"  {line}")
        self.stdout.write("What remains:")
        for part in remains(row):
            self.stdout.write(f"  {part.what} {part.where}\n    Until {part.until}. {part.act}".rstrip())


def facts_of(row: Erasure) -> dict[str, Any]:
    """The row and what remains of it today, in plain values."""
    return {
        "erasure": str(row.uid),
        "client": str(row.client.uid),
        "at": row.at.isoformat(),
        "by": row.by,
        "second": row.second,
        "reason": row.reason,
        "method": METHOD,
        "erased": row.erased,
        "copies": row.copies,
        "remains": row.remains,
        "ring_keys_that_open_older_copies": list(still_opening(row)),
        "ring_renewed_at": row.ring_renewed_at.isoformat() if row.ring_renewed_at else None,
    }
