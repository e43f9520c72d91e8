"""The twelve pre-flight items of a replacement, each with what the rows say of it."""

from datetime import datetime, timedelta

from fleet.mesh.counters import HALF_WAY
from fleet.mesh.counters import Verdict as NumberVerdict
from fleet.models import DrillKind, FirmwarePolicy, Mesh, Node, Radio, Replacement, Snapshot
from fleet.planning.compatibility import Compatibility, Verdict
from fleet.queries.counters import CounterPicture
from reports.facts.job import Way, WayBack
from reports.facts.preflight import POLICIES, Checked, Item, Standing, Why, in_order
from reports.facts.terms import VERDICTS
from reports.queries import home
from reports.queries.agreed import agreed_on
from sites.models import Person, Site

FRESH = timedelta(hours=24)
TAKES_OVER = (Verdict.CLEAN, Verdict.CONVERTS, Verdict.PARTLY)
MOST_NAMED = 5
MET, NOT_MET, NOT_KNOWN = Standing.MET, Standing.NOT_MET, Standing.NOT_KNOWN


def preflight(
    mesh: Mesh,
    radio: Radio,
    nodes: list[Node],
    newest: Snapshot | None,
    picture: CounterPicture | None,
    fit: Compatibility | None,
    way_back: WayBack,
    swap: Replacement | None,
    now: datetime,
) -> tuple[Checked, ...]:
    """All twelve, in their order, as of now. swap: the open replacement by this radio, which says more of some."""
    site = mesh.site
    agreed = agreed_on(swap, now) if swap else {}
    return in_order(
        tuple(
            agreed.get(each.item, each)
            for each in (
                _snapshot(newest, site, now),
                _number(picture),
                _verdict(fit),
                _blank(radio, site),
                _firmware(radio),
                _way_back(way_back, swap),
                _connection(mesh, fit),
                _power(mesh, site),
                _fall_backs(nodes),
                _climate(site),
                _people(site, now),
                _access(site, now),
            )
        )
    )


def _snapshot(newest: Snapshot | None, site: Site, now: datetime) -> Checked:
    if newest is None:
        return Checked(Item.SNAPSHOT, NOT_MET, Why.SNAPSHOT_NONE)
    taken = (home.at_home(newest.taken_at, site),)
    if now - newest.taken_at < FRESH:
        return Checked(Item.SNAPSHOT, MET, Why.SNAPSHOT_FRESH, taken)
    return Checked(Item.SNAPSHOT, NOT_MET, Why.SNAPSHOT_OLD, taken)


def _number(picture: CounterPicture | None) -> Checked:
    if picture is None:
        return Checked(Item.START_VALUE, NOT_MET, Why.NUMBER_NONE)
    if picture.start.verdict is NumberVerdict.REFUSE or picture.start.value >= HALF_WAY:
        return Checked(Item.START_VALUE, NOT_MET, Why.NUMBER_SPENT)
    return Checked(Item.START_VALUE, MET, Why.NUMBER_READY)


def _verdict(fit: Compatibility | None) -> Checked:
    if fit is None:
        return Checked(Item.VERDICT, NOT_KNOWN, Why.VERDICT_NONE)
    untested = NOT_KNOWN if fit.verdict is Verdict.UNTESTED else NOT_MET
    standing = MET if fit.verdict in TAKES_OVER else untested
    return Checked(Item.VERDICT, standing, Why.VERDICT_IS, (VERDICTS[fit.verdict.value],))


def _blank(radio: Radio, site: Site) -> Checked:
    proven = radio.blank_proven_at
    if proven is None:
        return Checked(Item.BLANK, NOT_MET, Why.BLANK_NEVER)
    used = radio.drills.exclude(kind=DrillKind.PAPER).filter(done_at__gt=proven).order_by("-done_at").first()
    if used is not None:
        return Checked(Item.BLANK, NOT_MET, Why.BLANK_USED_SINCE, (home.local_day(used.done_at, site),))
    values = (home.local_day(proven, site), radio.blank_proven_by or "?")
    return Checked(Item.BLANK, MET, Why.BLANK_PROVEN, values)


def _firmware(radio: Radio) -> Checked:
    release = radio.firmware
    if release is None:
        return Checked(Item.FIRMWARE, NOT_KNOWN, Why.FIRMWARE_NONE)
    allowed = release.policy in (FirmwarePolicy.ALLOWED, FirmwarePolicy.PREFERRED)
    values = (release.version, POLICIES[release.policy])
    return Checked(Item.FIRMWARE, MET if allowed else NOT_MET, Why.FIRMWARE_IS, values)


def _way_back(way_back: WayBack, swap: Replacement | None) -> Checked:
    """Met only where somebody said so on the replacement; without one there was nowhere to say it."""
    if way_back.way is Way.UNKNOWN:
        return Checked(Item.WAY_BACK, NOT_KNOWN, Why.BACK_UNKNOWN)
    if swap is None or not swap.way_back_read:
        return Checked(Item.WAY_BACK, NOT_MET if swap else NOT_KNOWN, Why.BACK_UNREAD)
    return Checked(Item.WAY_BACK, MET, Why.BACK_JUDGED)


def _connection(mesh: Mesh, fit: Compatibility | None) -> Checked:
    path = mesh.connection_path
    driver = next((each.verdict for each in fit.reasons if each.rule == "driver"), None) if fit else None
    if driver is Verdict.NO:
        return Checked(Item.CONNECTION, NOT_MET, Why.DRIVER_NONE)
    if not path or not mesh.controller:
        return Checked(Item.CONNECTION, NOT_KNOWN, Why.PATH_NONE)
    if driver in (Verdict.CLEAN, Verdict.CONVERTS):
        return Checked(Item.CONNECTION, MET, Why.PATH_KNOWN, (path,))
    return Checked(Item.CONNECTION, NOT_KNOWN, Why.DRIVER_UNKNOWN, (path,))


def _power(mesh: Mesh, site: Site) -> Checked:
    if mesh.power_dbm is None:
        return Checked(Item.POWER, NOT_KNOWN, Why.POWER_NONE, (site.country,))
    return Checked(Item.POWER, MET, Why.POWER_KNOWN, (mesh.power_dbm, site.country))


def _fall_backs(nodes: list[Node]) -> Checked:
    """What is on record; whether the people were told today, no book can know."""
    safety = [node for node in nodes if node.safety_kind]
    without = sum(not node.by_hand for node in safety)
    if not safety:
        return Checked(Item.FALL_BACKS, NOT_KNOWN, Why.FALL_BACKS_NONE)
    if without:
        return Checked(Item.FALL_BACKS, NOT_MET, Why.FALL_BACKS_SOME, (without, len(safety)))
    return Checked(Item.FALL_BACKS, NOT_KNOWN, Why.FALL_BACKS_ALL, (len(safety),))


def _climate(site: Site) -> Checked:
    """The weather stands in no book."""
    if site.frost_limit_c is None:
        return Checked(Item.CLIMATE, NOT_KNOWN, Why.NO_FROST_LIMIT)
    return Checked(Item.CLIMATE, NOT_KNOWN, Why.FROST_LIMIT, (site.frost_limit_c,))


def _people(site: Site, now: datetime) -> Checked:
    day = home.local_day(now, site)
    licensed = Person.objects.filter(is_active=True, mains_licence_until__gte=day)
    names = [str(each) for each in licensed.order_by("first_name", "last_name", "username")]
    if not names:
        return Checked(Item.PEOPLE, NOT_MET, Why.NO_LICENCE)
    return Checked(Item.PEOPLE, NOT_KNOWN, Why.LICENCES, (", ".join(names[:MOST_NAMED]),))


def _access(site: Site, now: datetime) -> Checked:
    """Consent is asked for on the day; the book knows the agreement and who opens."""
    if site.agreement_on(home.local_day(now, site)) is None:
        return Checked(Item.ACCESS, NOT_MET, Why.NO_AGREEMENT)
    if not site.way_in:
        return Checked(Item.ACCESS, NOT_KNOWN, Why.ACCESS_NONE)
    return Checked(Item.ACCESS, NOT_KNOWN, Why.ACCESS_KNOWN, (site.way_in.rstrip(" ."),))
