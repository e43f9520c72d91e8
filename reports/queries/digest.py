"""Rows to the facts of the month of the book."""

from datetime import date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo

from fleet.planning.stock import LEAD_DAYS
from fleet.queries.spares import SpareShelf
from reports.facts.digest import DigestFacts, Figures, Unrecorded
from reports.facts.head import Issue
from reports.queries import digest_work as work
from reports.queries.digest_copies import Copies, is_tight, tight_facts
from reports.queries.digest_radios import Service
from reports.queries.digest_standing import SHOWN, Judgements
from reports.queries.home import firm_facts
from sites.models import Firm

NOT_KEPT = (
    Unrecorded.CALLBACKS,
    Unrecorded.FIRST_VISIT,
    Unrecorded.HOURS,
    Unrecorded.STOCK_BEFORE,
)


def digest_facts(first: date, last: date, issue: Issue, shelf: SpareShelf) -> DigestFacts:
    """Everything of one whole month, in the firm's zone. A fixed number of statements whatever the size of the book."""
    firm = Firm.objects.first() or Firm()
    zone = ZoneInfo(firm.time_zone)
    start, end = midnight(first, zone), midnight(last + timedelta(days=1), zone)
    book = Judgements.load(start, end)
    service = Service.load(end)
    promises = work.agreements()
    drills, replaced = work.Rehearsals.load(start, end, promises), work.Replaced.load(start, end, promises)
    rounds, tray = work.RoundsOfMonth.load(start, end), work.Tray.load(start, end)
    copies, copies_before = Copies.load(end), Copies.load(start)
    meshes = list(book.meshes)
    month_before = midnight((first - timedelta(days=1)).replace(day=1), zone)

    def figures(moment: datetime, month_start: datetime, copies: Copies) -> Figures:
        rooms = copies.rooms(meshes, service.models(moment))
        return Figures(
            at=moment.astimezone(zone),
            standing=book.standing_at(moment),
            money=book.money_at(moment, firm),
            ages=copies.ages(len(meshes)),
            proven=drills.proven(moment, book.homes),
            drills=drills.drill_figures(moment, month_start),
            times=drills.times(moment),
            swaps=replaced.figures(moment),
            waiting=len(tray.at(moment)),
            tight=sum(is_tight(room) for _, room in rooms),
            tight_of=len(rooms),
        )

    troubled = book.troubled(end, firm, zone)
    tight = tight_facts(copies.rooms(meshes, service.models(end)))
    ending = work.ending(promises, last)
    return DigestFacts(
        issue=issue,
        firm=firm_facts(),
        month=first,
        zone=firm.time_zone,
        language=firm.language,
        now=figures(end, start, copies),
        before=figures(start, month_before, copies_before),
        rounds=rounds.figures(),
        papers=work.papers(),
        lead_days=LEAD_DAYS,
        days=book.days(first, last, zone, rounds.looked_on(zone)),
        bands=copies.bands(len(meshes)),
        troubled=troubled[:SHOWN],
        troubled_left_out=max(0, len(troubled) - SHOWN),
        families=service.families(shelf, zone),
        tight=tight[:SHOWN],
        tight_left_out=max(0, len(tight) - SHOWN),
        ending=ending[:SHOWN],
        ending_left_out=max(0, len(ending) - SHOWN),
        waiting=tray.by_reason(end, zone),
        unrecorded=NOT_KEPT,
    )


def midnight(day: date, zone: tzinfo) -> datetime:
    """The moment at which a day begins there."""
    return datetime.combine(day, time(), zone)
