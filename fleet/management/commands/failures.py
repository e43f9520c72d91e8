"""python manage.py failures {list,dead,claim}: how radios fail, those that never worked, and claims on makers."""

import json
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from fleet.management.tables import table
from fleet.models import Radio
from fleet.queries.failures import Failed, Failures, FamilyFailures, failures
from fleet.verbs import warranty


class Command(BaseCommand):
    help = (
        "How often each family of radios fails and may fail at most, the largest cluster beside it, and the claims "
        "that are due; write down that one never worked, or that one was claimed."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        acts = parser.add_subparsers(dest="act", required=True)
        listed = acts.add_parser("list", help="rates with their bounds, and claims")
        dead = acts.add_parser("dead", help="a radio that never worked")
        claimed = acts.add_parser("claim", help="its maker was asked to stand for a radio")
        dead.add_argument("--because", required=True, metavar="WORDS", help="what it did not do")
        for each in (dead, claimed):
            each.add_argument("radio", metavar="CODE", help="the radio (A2-0110)")
            each.add_argument("--by", required=True, metavar="NAME", help="who says so")
            each.add_argument("--on", metavar="DAY", help="the day, such as 2027-03-26 (today)")
        for each in (listed, dead, claimed):
            each.add_argument("--json", action="store_true", help="print the facts as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["act"] != "list":
            self.write_down(options)
        found = failures(timezone.now(), timezone.localdate())
        if options["json"]:
            self.stdout.write(json.dumps(_facts(found), indent=1, ensure_ascii=False))
        else:
            self.tell(found)

    def write_down(self, options: dict[str, Any]) -> None:
        radio, on, now = _named(options["radio"]), _day(options["on"]), timezone.now()
        try:
            if options["act"] == "dead":
                warranty.note_dead(radio, on, options["because"], options["by"], now)
            else:
                warranty.note_claim(radio, on, options["by"], now)
        except warranty.WarrantyRefused as error:
            raise CommandError(f"Nothing was written. {error}") from None

    def tell(self, found: Failures) -> None:
        heads = ("family", "failed", "radio-years", "in 100 a year", "at most", "together", "dead on arrival")
        self.stdout.write(table(heads, [_row(each) for each in found.families]))
        if found.claims:
            claims = [
                (each.radio.code, str(each.on), each.claim.state.value, each.claim.because)
                for each in found.claims
            ]
            self.stdout.write("")
            self.stdout.write(table(("radio", "failed on", "claim", "why"), claims))


def _row(each: FamilyFailures) -> tuple[str, ...]:
    rate, cluster = each.rate.rate, each.cluster
    return (
        each.name,
        str(rate.failures),
        f"{rate.radio_years:.1f}",
        "none seen" if not rate.failures or rate.mean is None else f"{rate.mean * 100:.2f}",
        "not known" if rate.upper is None else f"{rate.upper * 100:.2f}",
        f"{cluster.size}, {cluster.first:%Y-%m-%d} to {cluster.last:%Y-%m-%d}" if cluster else "no two",
        f"{each.arrivals.dead} of {each.arrivals.came}",
    )


def _facts(found: Failures) -> dict[str, Any]:
    return {
        "families": [
            {
                "family": each.name,
                "failures": each.rate.rate.failures,
                "radio_years": each.rate.rate.radio_years,
                "mean": each.rate.rate.mean,
                "upper": each.rate.upper,
                "taken_out": each.taken_out,
                "cluster": each.cluster.size if each.cluster else None,
                "dead_on_arrival": each.arrivals.dead,
                "came": each.arrivals.came,
                "dead_on_arrival_upper": each.arrivals.upper,
                "ages": [
                    {"band": band.words, "failures": band.rate.failures, "upper": band.rate.upper}
                    for band in each.ages
                ],
            }
            for each in found.families
        ],
        "claims": [_claim(each) for each in (*found.claims, *found.claimed)],
    }


def _claim(each: Failed) -> dict[str, Any]:
    last = each.claim.last_day
    return {
        "radio": each.radio.code,
        "failed_on": each.on.isoformat(),
        "dead_on_arrival": each.dead_on_arrival,
        "state": each.claim.state.value,
        "last_day": last.isoformat() if last else None,
        "because": each.claim.because,
    }


def _named(code: str) -> Radio:
    radio = Radio.objects.filter(code__iexact=code).first()
    if radio is None:
        raise CommandError(f"CODE {code}: there is no such radio in this book.")
    return radio


def _day(text: str | None) -> date:
    try:
        return timezone.localdate() if text is None else date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"--on {text}: right is a day such as 2027-03-26.") from None
