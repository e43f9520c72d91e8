"""A list of dated copies to choose one from."""

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.utils.formats import date_format

from fleet.models import Currency, Snapshot


class Choice(NamedTuple):
    """A copy that can be chosen."""

    uid: str
    words: str


def by_month(copies: Iterable[Snapshot], zone: ZoneInfo) -> Iterator[tuple[str, list[Choice]]]:
    """Each copy once, newest first, by the months of the home's own clock."""
    once = {copy.pk: copy for copy in copies}
    newest_first = sorted(once.values(), key=lambda copy: (copy.taken_at, copy.pk), reverse=True)
    local = [(copy.taken_at.astimezone(zone), copy) for copy in newest_first]
    for month, rows in groupby(local, key=lambda pair: date_format(pair[0], "F Y")):
        yield month, [_choice(copy, date_format(at, "j M Y, H:i")) for at, copy in rows]


def _choice(copy: Snapshot, taken: str) -> Choice:
    judged = [] if copy.currency == Currency.UNJUDGED else [copy.get_currency_display().lower()]
    erased = ["erased"] if copy.gone_at else []
    devices = f"{copy.node_count} device{'' if copy.node_count == 1 else 's'}"
    states = [copy.get_grade_display().lower(), *judged, *erased, devices]
    return Choice(str(copy.uid), f"{taken}: {', '.join(states)}")
