"""A storm's case as the book has it now: which homes are out, what fits them, and who goes. Nothing is written.

Gates, verdicts, ways and estimates are those of everything else (stands, spares, outages).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from random import Random

from django.db.models.functions import Upper

from fleet.models import FirmwarePolicy, FirmwareRelease, Mesh, Place, PlaceKind, Radio, RadioModel
from fleet.planning.compatibility import SEVERITY
from fleet.planning.estimating import NO_MINUTES, rejoin_minutes, restore_minutes
from fleet.planning.outage import could_be_taken
from fleet.planning.reach import Position, great_circle_km, travel_minutes
from fleet.planning.readiness import SpareFacts
from fleet.planning.storm.asking import DAYS, Asked, Strikes
from fleet.planning.storm.case import Case, Extra, Fit, Goer, OutMesh, StormError, StormSpare
from fleet.planning.supposing import AddedSpare, Supposition
from fleet.queries.costs import LONGEST_DRIVE_MINUTES
from fleet.queries.facts import class_counts, position_at
from fleet.queries.outages import work_of
from fleet.queries.spares import SpareShelf, Standby
from fleet.queries.stands import Rules, StandRows, meshes_of, stand_rows
from fleet.queries.supposed_rows import found_in_book
from sites.models import Person, Role, Site
from sites.queries import WorkingFacts, working_facts

GOES = (Role.TECHNICIAN, Role.OWNER, Role.OFFICE)
MOST_PLACES = 4
"""Where one more spare is tried, each; more would take longer to play than anybody waits."""
USABLE = (FirmwarePolicy.PREFERRED, FirmwarePolicy.ALLOWED)
HORIZON = timedelta(days=DAYS)


@dataclass(frozen=True, slots=True)
class Found:
    """A case, and what is left out of it: people that cannot be sent, homes that nobody can say anything of."""

    case: Case
    left_out: tuple[str, ...]


def who_may_go() -> list[Person]:
    """People of the firm, technicians first. One statement."""
    people = Person.objects.filter(is_active=True, role__in=GOES)
    order = list(GOES)
    return sorted(people, key=lambda each: (order.index(Role(each.role)), str(each)))


def case_of(asked: Asked, now: datetime) -> Found:
    """The case of a storm that strikes now. Raises StormError. As many statements for any number of homes.

    A mesh without a device on record is left out and named: nobody can say how long joining takes.
    """
    goers, left_out = _goers(asked, now)
    shelf = _shelf(asked, SpareShelf.load())
    rows = stand_rows(meshes_of(_keys(asked)), Rules.load(), now)
    known = [each for each in rows if each.nodes]
    left_out += [f"{each.mesh.code}: no device is on record" for each in rows if not each.nodes]
    if not known:
        raise StormError(_field(asked), "No home with a mesh in care and devices on record is among these.")
    holders = _holders(shelf, {goer.code for goer in goers})
    spares = tuple(_spare(each, holders) for each in shelf.spares if each.position is not None)
    reach = {goer.code: goer.base for goer in goers}
    meshes = tuple(_mesh(each, shelf, holders, reach) for each in known)
    extras = (*_more_spares(known, shelf), *_more_people(goers))
    case = Case(
        meshes=meshes,
        spares=spares,
        goers=goers,
        extras=extras,
        rest_minutes=asked.rest_hours * 60,
        longest_way=LONGEST_DRIVE_MINUTES,
        horizon=HORIZON / timedelta(minutes=1),
    )
    return Found(case, tuple(left_out))


def _keys(asked: Asked) -> list[int]:
    """The meshes in care of the homes that are out."""
    meshes = Mesh.objects.filter(in_care=True, site__client__erased_at=None)
    sites = _around(asked) if asked.strikes is Strikes.AROUND else _chosen(asked)
    return list(meshes.filter(site__in=sites).order_by("pk").values_list("pk", flat=True))


def _chosen(asked: Asked) -> list[int]:
    """Homes by name, by the radio in service, or any; drawn with the seed where there are more than wanted."""
    homes = Site.objects.filter(meshes__in_care=True, client__erased_at=None)
    if asked.strikes is Strikes.NAMED:
        return _named(asked)
    if asked.strikes is Strikes.MODEL:
        if not RadioModel.objects.filter(code=asked.model).exists():
            raise StormError("model", f"There is no type of radio {asked.model}; choose one from the list.")
        leads = {"meshes__periods__until": None, "meshes__periods__radio__model__code": asked.model}
        homes = homes.filter(**leads)
    keys = list(homes.order_by("pk").values_list("pk", flat=True).distinct())
    return keys if len(keys) <= asked.most else Random(f"homes-{asked.seed}").sample(keys, asked.most)


def _named(asked: Asked) -> list[int]:
    wanted = {code.upper() for code in asked.named}
    found = dict(
        Site.objects.annotate(capitals=Upper("code"))
        .filter(capitals__in=wanted, client__erased_at=None)
        .values_list("capitals", "pk")
    )
    missing = sorted(wanted - set(found))
    if missing:
        raise StormError("named", f"There is no home {missing[0]}; write codes of homes, such as KELP-7.")
    return list(found.values())


def _around(asked: Asked) -> list[int]:
    """The homes nearest to one, itself first, within the radius."""
    middle = Site.objects.filter(code__iexact=asked.home, client__erased_at=None).first()
    if middle is None:
        raise StormError("home", f"There is no home {asked.home}; write the code of one, such as KELP-7.")
    here = position_at(middle)
    if here is None:
        raise StormError(
            "home", f"Where {middle.code} lies is not known; enter its position, or choose another."
        )
    rows = Site.objects.filter(meshes__in_care=True, client__erased_at=None).exclude(latitude=None)
    far = sorted(
        (great_circle_km(here, Position(float(north), float(east))), key)
        for key, north, east in rows.order_by().values_list("pk", "latitude", "longitude").distinct()
    )
    return [key for km, key in far if km <= asked.km][: asked.most]


def _goers(asked: Asked, now: datetime) -> tuple[tuple[Goer, ...], list[str]]:
    """Who goes, with their hours from now on; who has no base or no hours cannot be sent, and is named."""
    people = list(Person.objects.filter(username__in=asked.people, is_active=True, role__in=GOES))
    unknown = sorted(set(asked.people) - {person.username for person in people})
    if unknown:
        raise StormError("people", f"{unknown[0]} is nobody who can be sent; choose people from the list.")
    first = (now - timedelta(days=1)).date()
    facts = working_facts(people, first, (now + HORIZON).date())
    goers, left_out = [], []
    for person in sorted(people, key=lambda each: each.username):
        goer = _goer(facts[person.pk], now)
        if isinstance(goer, Goer):
            goers.append(goer)
        else:
            left_out.append(f"{person}: {goer}")
    return tuple(goers), left_out


def _goer(facts: WorkingFacts, now: datetime) -> Goer | str:
    if facts.base is None:
        return "nobody wrote down where their day begins"
    minute = timedelta(minutes=1)
    shifts = tuple(
        (max((span.begin - now) / minute, 0.0), (span.end - now) / minute)
        for span in facts.stretches
        if span.end > now and span.begin < now + HORIZON
    )
    if not shifts:
        return "nobody wrote down when they work"
    return Goer(facts.person.username, str(facts.person), facts.base, shifts)


def _shelf(asked: Asked, shelf: SpareShelf) -> SpareShelf:
    """Spares of the places that count, and those that lie in homes."""
    if not asked.places:
        return shelf
    wanted = {code.upper() for code in asked.places}
    known = {
        code.upper() for code in Place.objects.exclude(kind=PlaceKind.HOME).values_list("code", flat=True)
    }
    if wanted - known:
        raise StormError("places", f"There is no place {min(wanted - known)}; choose places from the list.")
    kept = [
        spare
        for spare in shelf.spares
        if spare.row.place is not None and (spare.row.place.site_id or spare.row.place.code.upper() in wanted)
    ]
    return replace(shelf, spares=tuple(kept))


def _holders(shelf: SpareShelf, goers: set[str]) -> dict[str, str]:
    """Whose van each spare is in, by its code: only of those who go out."""
    vans = {
        spare.row.place_id: spare.row.code
        for spare in shelf.spares
        if spare.row.place is not None and spare.row.place.kind == PlaceKind.VAN
    }
    rows = Place.objects.filter(pk__in=vans, holder__username__in=goers).values_list("pk", "holder__username")
    held = dict(rows)
    return {spare.row.code: held[spare.row.place_id] for spare in shelf.spares if spare.row.place_id in held}


def _spare(spare: Standby, holders: Mapping[str, str]) -> StormSpare:
    row, position = spare.row, spare.position
    if position is None:
        raise ValueError(f"Where spare {row.code} lies is not known.")
    home = row.place.site.code if row.place is not None and row.place.site is not None else ""
    return StormSpare(row.code, row.model.family, position, holders.get(row.code, ""), home)


def _mesh(
    rows: StandRows, shelf: SpareShelf, holders: Mapping[str, str], reach: Mapping[str, Position]
) -> OutMesh:
    mesh, position = rows.mesh, position_at(rows.mesh.site)
    fits = [
        fit
        for spare in shelf.spares
        if _in_reach(holders.get(spare.row.code, ""), reach, position)
        and (fit := _fit(rows, shelf, spare)) is not None
    ]
    return OutMesh(
        code=mesh.code,
        home=mesh.site.code,
        position=position,
        safety=mesh.safety_relevant,
        people=2 if mesh.site.vulnerable_person else 1,
        joining=rejoin_minutes(class_counts(rows.nodes)),
        family=rows.radio.model.family if rows.radio else "",
        fits=tuple(fits),
    )


def _in_reach(holder: str, reach: Mapping[str, Position], home: Position | None) -> bool:
    """Whether whoever holds the spare could drive there from their base; anybody may take what nobody holds."""
    if not holder or home is None:
        return True
    return travel_minutes(great_circle_km(reach[holder], home)).likely <= LONGEST_DRIVE_MINUTES


def _fit(rows: StandRows, shelf: SpareShelf, spare: Standby) -> Fit | None:
    """How one spare would do at one mesh; None where the gates do not let it count, or it is too far to drive."""
    if rows.radio is None or spare.position is None:
        return None
    weighed = replace(shelf, spares=(spare,)).for_mesh(rows.mesh, rows.radio, rows.nodes)
    if not weighed or not could_be_taken(replace(rows.stand.facts, spares=weighed), weighed[0]):
        return None
    facts = weighed[0]
    way = 0.0 if facts.at_home else facts.reach_minutes
    if way is None or way > LONGEST_DRIVE_MINUTES:
        return None
    return Fit(
        spare=facts.code,
        works=shelf.record_of(rows.radio, spare).lower_bound,
        restore=restore_minutes(len(rows.nodes), NO_MINUTES, shelf.recorded.work)
        if rows.stand.facts.freshness
        else None,
        left=_left(rows, facts),
        rank=SEVERITY.index(facts.verdict),
        way_minutes=way,
    )


def _left(rows: StandRows, facts: SpareFacts) -> float:
    """The share of joining that a restore leaves: what the verdict leaves, and what joined since the copy."""
    work = work_of(rows, rows.stand.facts, None)
    lost = work.lost if work else 0.0
    return min(1.0, ((facts.rejoin_count or 0) + lost) / max(len(rows.nodes), 1))


def _more_spares(rows: Sequence[StandRows], shelf: SpareShelf) -> Iterable[Extra]:
    """One more spare of each family that is out, of its best build, at each of some shelves and vans."""
    places = Place.objects.exclude(kind=PlaceKind.HOME).exclude(latitude=None).order_by("kind", "code")
    places = list(places[:MOST_PLACES])
    families = sorted({each.radio.model.family for each in rows if each.radio})
    builds = _best_builds(families)
    for build in (builds[family] for family in families if family in builds):
        added = [AddedSpare(build.model.code, build.version, 1, place.code) for place in places]
        with_them = found_in_book(Supposition(added=tuple(added))).on(replace(shelf, spares=()))
        for spare, place in zip(with_them.spares, places, strict=True):
            one = _unlike(spare, shelf.spares)
            fits = tuple(
                (each.mesh.code, fit) for each in rows if (fit := _fit(each, shelf, one)) is not None
            )
            label = (
                f"one more {build.model} with {build.version} (family {build.model.family}) at {place.name}"
            )
            yield Extra(label, spare=_spare(one, {}), fits=fits)


def _unlike(added: Standby, spares: Iterable[Standby]) -> Standby:
    """Under a code that no spare of the book has."""
    if added.row.code in {spare.row.code for spare in spares}:
        added.row.code = f"{added.row.code}-TOO"[: Radio._meta.get_field("code").max_length]
    return added


def _best_builds(families: Iterable[str]) -> dict[str, FirmwareRelease]:
    """For each family the build that a new spare would come with: preferred before allowed, newest first."""
    rows = FirmwareRelease.objects.filter(model__family__in=list(families), policy__in=USABLE)
    found: dict[str, FirmwareRelease] = {}
    for row in sorted(
        rows.select_related("model"), key=lambda each: (USABLE.index(each.policy), -(each.order_key or 0))
    ):
        found.setdefault(row.model.family, row)
    return found


def _more_people(goers: Sequence[Goer]) -> Iterable[Extra]:
    """One more person with the base and the hours of each that goes; of equal ones, one."""
    told: dict[tuple[Position, tuple[tuple[float, float], ...]], Goer] = {}
    for goer in goers:
        told.setdefault((goer.base, goer.shifts), goer)
    for goer in told.values():
        yield Extra(
            f"one more person with the base and hours of {goer.name}",
            goer=replace(goer, code=f"{goer.code} too"),
        )


def _field(asked: Asked) -> str:
    return {Strikes.AROUND: "home", Strikes.MODEL: "model", Strikes.NAMED: "named", Strikes.RANDOM: "most"}[
        asked.strikes
    ]
