"""python manage.py sealed {verify,mend}: is everything that lies sealed still whole?"""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.keyring import KeyRingError
from fleet.management.progress import Bar
from fleet.queries.verify import count_sealed, verify
from fleet.verbs.mend_keys import mend_keys
from fleet.verbs.repack import mend_bases


class Command(BaseCommand):
    help = (
        "verify: open every sealed document and compare its digest; name each that is damaged. "
        "mend: write a damaged copy of a packing base anew from its twin, and a data key with one flipped bit, then "
        "verify. "
        "Exit status 0 only when everything is whole."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("act", choices=["verify", "mend"])
        parser.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        mended = self.mend() if options["act"] == "mend" else []
        total, bar = count_sealed(), Bar(self.stderr)
        damaged = []
        done = erased = 0
        for done, looked in enumerate(verify(), 1):
            erased += looked.erased
            if looked.wrong:
                damaged.append({"what": looked.what, "wrong": looked.wrong})
            bar.step(done, total)
        if options["json"]:
            self.stdout.write(
                json.dumps(
                    {"opened": done - erased, "erased": erased, "damaged": damaged, "mended": mended},
                    indent=1,
                )
            )
        else:
            self.stdout.write(
                f"{done - erased} sealed rows opened, {len(damaged)} damaged, {len(mended)} mended."
            )
            if erased:
                self.stdout.write(
                    f"{erased} erased with their client's key; that none of them opens is right."
                )
            for row in damaged:
                self.stdout.write(f"  {row['what']}: {row['wrong']}")
        if damaged:
            raise CommandError(
                f"{len(damaged)} sealed rows are damaged; put them back from a copy of the database."
            )

    def mend(self) -> list[str]:
        try:
            return [*mend_keys("command line", timezone.now()), *mend_bases("command line", timezone.now())]
        except KeyRingError as error:
            raise CommandError(str(error)) from None
