"""The order of swaps as a page or the terminal shows it."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.core.paginator import Page, Paginator

from fleet.models import RadioModel, RankedSwap, Replacement, SwapRanking
from fleet.planning.estimating import cost
from fleet.planning.money import smallest_unit
from fleet.planning.pace import Pace, pace
from fleet.planning.priority import Place, Weights, Worst, place_of
from fleet.queries.next_swaps import facts_from
from fleet.queries.supposals import last_judged_at
from sites.models import Firm

ROWS_A_PAGE = 50


@dataclass(frozen=True, slots=True)
class Row:
    """One mesh of the order, weighed; value in the firm's money (None where no firm is entered); swap: under way."""

    ranked: RankedSwap
    place: Place
    money: Decimal | None
    swap: Replacement | None


@dataclass(frozen=True, slots=True)
class Order:
    """The newest order that is done, one page of it, and the one under way. is_old: the book was judged since."""

    ranking: SwapRanking | None
    under_way: SwapRanking | None
    pace: Pace | None
    page: Page | None
    rows: tuple[Row, ...]
    weights: Weights
    currency: str
    is_old: bool

    @property
    def first(self) -> Row | None:
        """The first of these rows for which nothing is under way."""
        return next((row for row in self.rows if row.swap is None), None)


def order_of(page_number: str | None, now: datetime, rows_a_page: int = ROWS_A_PAGE) -> Order:
    """Seven statements, whatever the size of the book."""
    under_way = SwapRanking.objects.filter(finished_at=None).defer("errors").first()
    going = pace(under_way.done, under_way.total, under_way.asked_at, now) if under_way else None
    ranking = SwapRanking.objects.exclude(finished_at=None).first()
    if ranking is None:
        return Order(None, under_way, going, None, (), Weights(), "", False)
    judged_at = last_judged_at()
    firm = Firm.objects.first()
    near = ranking.rows.select_related("mesh__site__client").defer("mesh__roll").order_by("place")
    page = Paginator(near, rows_a_page).get_page(page_number)
    weights = Weights(**ranking.weights)
    return Order(
        ranking=ranking,
        under_way=under_way,
        pace=going,
        page=page,
        rows=_rows(list(page), ranking, weights, firm),
        weights=weights,
        currency=firm.currency if firm else "",
        is_old=judged_at is not None and judged_at > ranking.asked_at,
    )


def row_of(code: str) -> Place | None:
    """One mesh as the newest order has it; None where that has none. Two statements."""
    ranking = SwapRanking.objects.exclude(finished_at=None).first()
    found = ranking.rows.filter(mesh__code=code).first() if ranking else None
    if ranking is None or found is None:
        return None
    return place_of(facts_from(found.facts), Weights(**ranking.weights), Worst(**ranking.worst))


def supported() -> list[RadioModel]:
    """Every type of radio with what is known of its support. One statement."""
    return list(RadioModel.objects.select_related("support_end").order_by("code"))


def _rows(
    found: list[RankedSwap], ranking: SwapRanking, weights: Weights, firm: Firm | None
) -> tuple[Row, ...]:
    swaps = {
        swap.mesh_id: swap
        for swap in Replacement.objects.under_way().filter(mesh__in=[row.mesh_id for row in found])
    }
    worst = Worst(**ranking.worst)
    unit = smallest_unit(firm.currency) if firm else None
    rows = []
    for row in found:
        place = place_of(facts_from(row.facts), weights, worst)
        money = cost(place.value * 60, firm.hourly_rate, unit) if firm and unit else None
        rows.append(Row(row, place, money, swaps.get(row.mesh_id)))
    return tuple(rows)
