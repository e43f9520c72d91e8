"""The first lines of the pages that show a mesh over time: copies compared, their calendar, the counter."""

from datetime import datetime

from django.utils.formats import date_format

from fleet.mesh.counters import HALF_WAY, Verdict
from fleet.pages.writing import about, counted
from fleet.planning.copy_calendar import CopyCalendar
from fleet.queries.comparing import Comparison
from fleet.queries.counters import CounterPicture, Lasting
from fleet.snapshots.change_words import summary


def of_comparison(code: str, found: Comparison | None) -> str:
    """What changed between two copies."""
    if found is None:
        return f"Which two copies of {code} are to be compared?"
    if found.difference is not None:
        return summary(found.difference)
    which = "Neither copy can" if len(found.unopened) > 1 else "One of the two copies cannot"
    return f"{which} be opened; what the book noted of both stands below."


def of_calendar(code: str, found: CopyCalendar) -> str:
    """Of which day the last sound copy is, and the longest time without one. An age is for other pages to say."""
    if not found.months:
        return f"No copy of {code} has come yet."
    if found.last_sound is None:
        return f"Copies of {code} have come, but not one of them was sound."
    longest = found.gaps[0] if found.gaps else None
    if longest is not None and longest.is_open:
        since = date_format(found.last_sound, "j M Y")
        return f"No sound copy of {code} since {since}: the longest gap."
    day = date_format(found.last_sound, "j M Y")
    last = {0: "of today", 1: "of yesterday"}.get(found.days_since, f"of {day}")
    if longest is None:
        gaps = f"no gap since {date_format(found.first_sound, 'j M Y')}"
    else:
        first, end = (date_format(day, "j M Y") for day in (longest.first, longest.last))
        gaps = f"the longest gap was {longest.days} days, {first} to {end}"
    return f"The last sound copy is {last}; {gaps}."


def of_counter(code: str, picture: CounterPicture | None, lasts: Lasting | None, now: datetime) -> str:
    """The number to write today, and how long the counters last."""
    if picture is None or lasts is None:
        return f"No counter of {code} is on record under the key in use."
    if picture.start.verdict is Verdict.REFUSE:
        return "No number can be written safely: change the network key."
    write = f"A radio written before midnight there starts from {counted(picture.start.value)}"
    if picture.start.value >= HALF_WAY:
        return f"{write}, past half of all counters: change the network key first."
    end = lasts.dates.end_earliest
    if not lasts.rate_known or end is None:
        return f"{write}; how long the counters last is not known yet."
    return f"{write}; the counters last until {about(end, now)} at the earliest."
