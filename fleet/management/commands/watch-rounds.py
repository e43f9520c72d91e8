"""python manage.py watch-rounds: does somebody still go through the book? For cron, timers and monitors."""

from datetime import timedelta
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fleet.planning.freshness import age_in_words, span_in_words
from fleet.queries.clock import book_time
from fleet.queries.standings import last_complete_round
from fleet.verbs import send
from fleet.verbs.tell_of_stop import tell_of_stop


class Command(BaseCommand):
    help = (
        "Exit status 0 and one line while complete rounds end in time; exit status 1 and one line where the last "
        "one ended too long ago. It needs the database and neither queue nor worker: let cron or a timer run it "
        "every ten minutes. Rounds are due each hour, so that with the usual 1.25 hours somebody knows within half "
        "an hour of the first one that is missing."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--hours", type=float, default=1.25, metavar="N", help="how long is too long (1.25)"
        )
        parser.add_argument(
            "--tell", action="store_true", help="also write and send the urgent message, once a day"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        time, patience = book_time(), timedelta(hours=options["hours"])
        last = last_complete_round()
        if last is None:
            raise CommandError("No round has ever ended.")
        age = time.now - last.finished_at
        said = f"the last complete round ended {age_in_words(max(age.total_seconds(), 0) / 3600)} ago"
        if age <= patience:
            self.stdout.write(f"Rounds run: {said}.")
            return
        if options["tell"]:
            tell_of_stop(time.now, patience)
            send.send_due(time.clock)
        raise CommandError(
            f"Rounds have stopped: {said}; at most {span_in_words(options['hours'])} is right."
        )
