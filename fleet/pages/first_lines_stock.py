"""The first lines of pages about radios that lead no mesh."""

from fleet.models import Radio
from fleet.queries.stock import Stock


def of_shelf(stock: Stock) -> str:
    """How many spares count, and which families have too few."""
    told = _counting(stock.counting, stock.counting_in_homes)
    short = [
        f"family {each.pool.family} wants {each.pool.short} more" for each in stock.short if each.pool.short
    ]
    unknown = [each.pool.family for each in stock.short if each.pool.short is None]
    unsaid = [f"nobody can say how many of family {name} are wanted" for name in unknown]
    rest = "; ".join([*short, *unsaid])
    return f"{told}; {rest}." if rest else f"{told}, as many as every family wants."


def _counting(count: int, in_homes: int) -> str:
    """Those in homes are told apart: they count for their home alone."""
    of_the_firm = " of the firm" if in_homes else ""
    told = {0: f"No spare{of_the_firm} counts", 1: f"One spare{of_the_firm} counts"}
    said = told.get(count, f"{count} spares{of_the_firm} count")
    if not in_homes:
        return said
    more = " more" if count else ""
    homes = f"one{more} lies in a home" if in_homes == 1 else f"{in_homes}{more} lie in homes"
    return f"{said}, and {homes}"


def of_radio(radio: Radio, why_not: str) -> str:
    """What one radio is good for at this moment."""
    period = radio.periods.filter(until=None).select_related("mesh").first()
    if period is not None:
        return f"{radio.code} leads {period.mesh.code}."
    return f"{radio.code} is no spare yet: {why_not}." if why_not else f"{radio.code} counts as a spare."


def of_recall(batch: str, found: int) -> str:
    """How many of a batch there are."""
    if not found:
        return f"No radio of batch {batch} is in the book."
    return f"{found} radio{'s' if found > 1 else ''} of batch {batch}: this is where each is."
