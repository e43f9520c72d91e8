"""The first lines of pages about replacements."""

from datetime import datetime

from fleet.planning.freshness import span_in_words
from fleet.planning.replacing.settling import Answer
from fleet.planning.replacing.states import NOBODY_SPEAKS, State
from fleet.queries.replacing.card import Card


def of_replacements(under_way: int, stranded: int, silent: int) -> str:
    """How many are under way, and whether any home is without a voice at this moment."""
    if not under_way:
        return "No replacement is under way."
    counted = "One replacement is" if under_way == 1 else f"{under_way} replacements are"
    told = [f"{counted} under way"]
    if stranded:
        told.append("one mesh is stranded" if stranded == 1 else f"{stranded} meshes are stranded")
    if silent:
        told.append(
            "in one home nobody speaks now" if silent == 1 else f"in {silent} homes nobody speaks now"
        )
    return "; ".join(told) + "."


def of_card(card: Card, now: datetime) -> str:
    """Where it stands and what comes next."""
    swap = card.swap
    code, new = swap.mesh.code, swap.new_radio.code if swap.new_radio else "a radio to be chosen"
    if swap.stands in (State.ASKED, State.AGREED, State.PACKED):
        wanting = card.open_items
        rest = f"{wanting} of 12 things stand against packing" if wanting else "all 12 things are in order"
        return f"{new[0].upper()}{new[1:]} is to take over {code}: {swap.stands.words}, {rest}."
    if since := card.silent_since:
        told = f"Nobody speaks in {code} for {span_in_words((now - since).total_seconds() / 3600)}"
        return f"{told}: {_SILENT[swap.stands].format(new=new)}."
    if swap.stands in NOBODY_SPEAKS and card.speaking is not None:
        return f"{code} is {swap.stands.words}: {card.speaking.code} is on air, and no device is known to hear it."
    if swap.stands is State.WAKING:
        late = card.count(Answer.LATE)
        heard = f"{card.count(Answer.HEARD)} of {len(card.devices)} devices heard"
        return f"{new} speaks in {code}: {heard}, {f'{late} late' if late else 'none late'}."
    return _REST[swap.stands].format(
        new=new, code=code, day=f"{swap.watched_until:%Y-%m-%d}" if swap.watched_until else ""
    )


_SILENT = {
    State.SILENCED: "write {new} now",
    State.WRITTEN: "connect {new}, and say when it is on air",
    State.BACKING_OUT: "give the old radio a new number, or say that the mesh is stranded",
    State.STRANDED: "join the devices anew, or bring the old radio back",
}
_REST = {
    State.ARRIVED: "Somebody is there: silence the old radio of {code} and show that it is.",
    State.ACCEPTED: "{new} leads {code}; it is watched until {day}.",
    State.CLOSED: "{code}: this replacement is closed.",
    State.BACKED_OUT: "The old radio leads {code} again; wipe {new} to close this.",
    State.DROPPED: "{code}: this replacement was dropped.",
}
