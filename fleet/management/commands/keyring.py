"""python manage.py keyring {show,renew}: the keys that wrap the clients' data keys."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db.models import Count
from django.utils import timezone

from fleet import keyring
from fleet.management.progress import Bar
from fleet.models import DataKey
from fleet.queries.erasure import unrenewed
from fleet.snapshots.sealing import SealError
from fleet.verbs.renew_ring import renew

CAUTION = (
    "Copies of the database from before now open only with a copy of the ring from their own time. Make new copies of "
    "both; keep old ones of the ring apart, or destroy them where a client was erased."
)


class Command(BaseCommand):
    help = (
        "show: names of the ring's keys and how many data keys each wraps (never a key). "
        "renew: make a new wrapping key and wrap every data key anew; run it again if it was broken off. "
        "Old keys leave the ring when nothing is wrapped by them: from then on an older copy of the database opens "
        "only with a copy of the ring from its own time, and what was erased stays erased. Make new copies of both."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("act", choices=["show", "renew"])
        parser.add_argument("--by", default="command line", metavar="NAME", help="who renews")
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            facts = self.show() if options["act"] == "show" else self.renew(options["by"])
        except (keyring.KeyRingError, SealError) as error:
            raise CommandError(str(error)) from None
        if options["json"]:
            self.stdout.write(json.dumps(facts, indent=1))
            return
        for name, value in facts.items():
            shown = ", ".join(value) or "none" if isinstance(value, list) else value
            self.stdout.write(f"{name.replace('_', ' ')}: {shown}")
        if facts.get("keys_that_left_the_ring"):
            self.stdout.write(CAUTION)

    def show(self) -> dict[str, Any]:
        ring = keyring.load()
        wrapped = dict(
            DataKey.objects.filter(destroyed_at=None).values_list("ring_key").annotate(n=Count("pk"))
        )
        return {
            "active": ring.active,
            "data_keys_wrapped_by": {name: wrapped.get(name, 0) for name in ring.wrapping},
            "data_keys_without_their_ring_key": sum(
                n for name, n in wrapped.items() if name not in ring.wrapping
            ),
            "data_keys_destroyed": DataKey.objects.exclude(destroyed_at=None).count(),
            "erasures_that_need_a_renewal": unrenewed(),
        }

    def renew(self, by: str) -> dict[str, Any]:
        renewal = renew(by, timezone.now(), Bar(self.stderr).step)
        return {
            "active": renewal.ring_key,
            "made_now": renewal.made,
            "data_keys_wrapped_anew": renewal.wrapped,
            "keys_that_left_the_ring": list(renewal.dropped),
            "erasures_that_need_a_renewal": unrenewed(),
        }
