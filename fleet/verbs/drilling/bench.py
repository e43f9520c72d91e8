"""What must hold before a spare is written on the bench: it is blank, it fits, and nothing there can be heard."""

from dataclasses import dataclass

from fleet.models import AddressPolicy, DrillKind, Mesh, Place, Radio, RadioState
from fleet.planning.drilling.setup import Bench, Setup, why_not_there
from fleet.queries.blank import is_blank
from fleet.queries.drilling.spares import fit_of
from fleet.queries.facts import position_at, position_of
from fleet.snapshots.secret_words import looks_secret

FREE = (RadioState.SHELVED, RadioState.WIPED)


class DrillRefused(Exception):
    """Nothing was written; the sentence names the field, the value and what would be right."""


@dataclass(frozen=True, slots=True)
class Intent:
    """What is to be held. The rest is for a bench write alone.

    place and spot say where the spare is written, setup how it is kept from radiating. use_up_address: the spare's
    address can be written a single time, and this drill may use that up.
    """

    kind: DrillKind
    radio: Radio | None = None
    place: Place | None = None
    spot: str = ""
    setup: Setup | None = None
    nothing_radiates: bool = False
    use_up_address: bool = False


def insist_on_spare(mesh: Mesh, intent: Intent) -> Radio:
    """The spare, if it may be written there; held until the transaction ends."""
    if intent.radio is None:
        raise DrillRefused("radio: none is chosen; a bench write needs a blank spare.")
    Radio.objects.select_for_update(of=("self",)).get(pk=intent.radio.pk)
    radio = Radio.objects.select_related("model", "firmware", "place__site").get(pk=intent.radio.pk)
    insist_still_blank(radio)
    if radio.firmware is None:
        raise DrillRefused(
            f"radio: the firmware on {radio.code} is not known; write down which build it is first."
        )
    if radio.rehearsals.filter(ended_at=None).exists():
        raise DrillRefused(f"radio: {radio.code} is in another drill; choose another, or end that one.")
    _insist_there(mesh, radio, intent)
    _insist_it_fits(mesh, radio, intent)
    return radio


def insist_still_blank(radio: Radio) -> None:
    """Raises DrillRefused for a radio that no drill may write."""
    if radio.state not in FREE:
        state = radio.get_state_display().lower()
        raise DrillRefused(f"radio: {radio.code} is {state}; right is a spare that is shelved or wiped.")
    if not is_blank(radio):
        raise DrillRefused(
            f"radio: nobody has proven {radio.code} blank since it was written; read it out first."
        )


def _insist_there(mesh: Mesh, radio: Radio, intent: Intent) -> None:
    place = intent.place
    if place is None:
        raise DrillRefused("place: none is named; say where the spare is written.")
    if radio.place_id != place.pk:
        lies = radio.place.name if radio.place else "in no place of the book"
        raise DrillRefused(
            f"place: {radio.code} is {lies} as the book has it, not {place.name}; write down where it lies now first."
        )
    if place.site_id is not None and place.site_id != mesh.site_id:
        raise DrillRefused(
            f"place: {place.name} is another home; its spare stays there. Name a shelf or a van."
        )
    if intent.setup is None:
        raise DrillRefused("setup: say how the spare is kept from radiating.")
    in_the_home = place.site_id == mesh.site_id
    bench = Bench(intent.setup, intent.nothing_radiates, place.name, position_of(place), in_the_home)
    if wrong := why_not_there(bench, position_at(mesh.site)):
        raise DrillRefused(wrong)


def _insist_it_fits(mesh: Mesh, radio: Radio, intent: Intent) -> None:
    because = fit_of(mesh, radio)
    if because:
        raise DrillRefused(
            f"radio: {radio.code} cannot take {mesh.code} over, so that a drill proves nothing: {because}"
        )
    if uses_up(radio, mesh) and not intent.use_up_address:
        raise DrillRefused(
            f"use_up_address: the address of {radio.code} can be written a single time; after this drill it can take "
            f"over no mesh but {mesh.code}. Say that this is meant, or choose another spare."
        )


def uses_up(radio: Radio, mesh: Mesh) -> bool:
    """Whether writing the mesh's identity to it takes the only time that its address can be written."""
    once = radio.model.address_policy == AddressPolicy.WRITE_ONCE and not radio.address_written
    return once and radio.factory_address != mesh.head_address


def insist_words(field: str, text: str) -> None:
    """It goes into the journal or onto paper."""
    if looks_secret(text):
        raise DrillRefused(f"{field}: this looks like a code or a key; write words only.")
