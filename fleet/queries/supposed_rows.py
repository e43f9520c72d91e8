"""What a supposition names, found in the book: its builds, places and spares; and the shelf as it would then be."""

from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from django.db.models.functions import Upper

from fleet.models import FirmwareRelease, Place, PlaceKind, Radio
from fleet.planning.supposing import SupposedPolicy, SupposingError, Supposition
from fleet.planning.supposing_words import in_words
from fleet.queries.facts import position_of, radio_facts
from fleet.queries.spares import STANDING_BY, SpareShelf, Standby
from sites.models import Site

MOST_NAMED = 12
# A supposed spare is blank and proven by assumption; any moment will do.
PROVEN = datetime(2000, 1, 1, tzinfo=UTC)

BuildCode = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Supposed:
    """A supposition with the rows that it names. releases: by model and version; places: by code."""

    change: Supposition
    releases: Mapping[BuildCode, FirmwareRelease]
    places: Mapping[str, Place]

    @property
    def words(self) -> str:
        """What is supposed, in one phrase."""
        # A home goes by its code: what its place is called may tell who lives there.
        names = {code: str(place) for code, place in self.places.items() if place.site_id is None}
        names |= {model: str(release.model) for (model, _), release in self.releases.items()}
        return in_words(self.change, names)

    def on(self, shelf: SpareShelf) -> SpareShelf:
        """The shelf as it would be: spares taken away, others added, firmware under its other policy."""
        left = [spare for spare in shelf.spares if spare.row.code not in self.change.taken]
        policies = {(each.model, each.version): each for each in self.change.policies}
        changed = [_under(policies, spare) for spare in [*left, *self._added(shelf)]]
        return replace(shelf, spares=tuple(changed))

    def _added(self, shelf: SpareShelf) -> Iterable[Standby]:
        """Unsaved radios under codes that no spare has."""
        known = {spare.row.code for spare in shelf.spares}
        number = 0
        for each in self.change.added:
            release, place = self.releases[each.model, each.version], self.places[each.place]
            for _ in range(each.count):
                number += 1
                while f"{each.model}-NEW-{number}" in known:
                    number += 1
                yield _new_spare(f"{each.model}-NEW-{number}", number, release, place)


def found_in_book(change: Supposition) -> Supposed:
    """The rows that are named, or SupposingError with what would be right. At most six statements.

    Codes of places and spares are found however they were typed, and stand in the answer as the book writes them.
    """
    builds = [(each.model, each.version) for each in change.added]
    policies = [(each.model, each.version) for each in change.policies]
    releases = _releases()
    for field, wanted in (("spare", builds), ("firmware", policies)):
        _check_builds(field, wanted, releases)
    places = _places([each.place for each in change.added])
    added = tuple(replace(each, place=places[each.place.upper()].code) for each in change.added)
    change = replace(change, added=added, taken=_taken(change.taken))
    used = {build: releases[build] for build in (*builds, *policies)}
    return Supposed(change, used, {place.code: place for place in places.values()})


def _releases() -> dict[BuildCode, FirmwareRelease]:
    """Every build of the book: there are some dozens of them."""
    rows = FirmwareRelease.objects.select_related("model").prefetch_related("model__limits")
    return {(row.model.code, row.version): row for row in rows}


def _check_builds(field: str, wanted: list[BuildCode], known: Mapping[BuildCode, FirmwareRelease]) -> None:
    for model, version in wanted:
        if (model, version) in known:
            continue
        versions = [other for code, other in known if code == model]
        if versions:
            right = f"{model} has {_some(versions)}"
        else:
            right = f"the book has {_some(sorted({code for code, _ in known})) or 'no firmware yet'}"
        raise SupposingError(field, f"There is no {model} with firmware {version}; {right}.")


def _places(typed: Iterable[str]) -> dict[str, Place]:
    """Shelves and vans, and homes whether or not a radio has ever lain there, by their code in capitals."""
    codes = {code.upper() for code in typed}
    rows = Place.objects.annotate(capitals=Upper("code")).filter(capitals__in=codes).select_related("site")
    found = {place.code.upper(): place for place in rows}
    homes = Site.objects.filter(code__in=codes - set(found), client__erased_at=None).select_related("place")
    for site in homes:
        lain = getattr(site, "place", None)
        found[site.code] = lain or Place(code=site.code, name=site.code, kind=PlaceKind.HOME, site=site)
    for code in sorted(codes - set(found)):
        known = Place.objects.exclude(kind=PlaceKind.HOME).values_list("code", flat=True)
        right = _some(known[: MOST_NAMED + 1]) or "no shelf and no van yet"
        raise SupposingError(
            "place", f"There is no place {code}; write the code of a home, or one of: {right}."
        )
    return found


def _taken(typed: Iterable[str]) -> tuple[str, ...]:
    """The codes of these spares as the book writes them."""
    wanted = {code.upper(): code for code in typed}
    if not wanted:
        return ()
    standing = Radio.objects.filter(state__in=STANDING_BY).values_list("code", flat=True)
    known = {code.upper(): code for code in standing}
    for capitals, code in wanted.items():
        if capitals not in known:
            right = _some(list(known.values())[: MOST_NAMED + 1])
            stand = f"those that stand by are {right}" if right else "none stands by"
            raise SupposingError("taken", f"{code} is no spare that stands by; {stand}.")
    return tuple(known[capitals] for capitals in wanted)


def _new_spare(code: str, number: int, release: FirmwareRelease, place: Place) -> Standby:
    row = Radio(
        code=code,
        model=release.model,
        firmware=release,
        factory_address=f"0200000000{number:06X}",
        place=place,
        blank_proven_at=PROVEN,
    )
    return Standby(row, radio_facts(row), position_of(place))


def _under(policies: Mapping[BuildCode, SupposedPolicy], spare: Standby) -> Standby:
    firmware = spare.row.firmware
    wanted = policies.get((spare.row.model.code, firmware.version)) if firmware else None
    if firmware is None or wanted is None:
        return spare
    row, other = copy(spare.row), copy(firmware)
    other.policy = wanted.policy.value
    row.firmware = other
    return Standby(row, radio_facts(row), spare.position)


def _some(names: Iterable[str]) -> str:
    told = list(names)
    more = ", ..." if len(told) > MOST_NAMED else ""
    return ", ".join(told[:MOST_NAMED]) + more
