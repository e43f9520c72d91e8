"""What every sheet of a home shares: the firm, the home, the people to call, its radios."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from fleet.mesh.codes import with_check
from fleet.models import FirmwareRelease, Mesh, Node, Radio, SafetyKind
from fleet.planning.freshness import MEAN_MONTH_DAYS
from fleet.queries.facts import room_in
from reports.facts import head
from reports.facts.fixed import Fixed, fixed, fixed_many
from reports.facts.mesh import Ceiling, ChannelSurvey, Headroom, MeshFacts, RoleCounts, WifiCell
from reports.facts.radio import HeadRadio
from reports.facts.safety import SafetyItem
from reports.facts.terms import CONNECTIONS, CONTACTS, LIMIT_SOURCES, RESOURCES, SAFETY
from sites.models import Agreement, Contact, Firm, Site


def firm_facts() -> head.Firm:
    """The firm that keeps the book; a book without one says so on paper."""
    firm = Firm.objects.first()
    if firm is None:
        return head.Firm(name="")
    return head.Firm(
        name=firm.name,
        day_phone=firm.office_phone or None,
        night_phone=firm.night_phone or None,
        email=firm.email or None,
        address_lines=tuple(firm.address_lines.splitlines()),
    )


def home_facts(site: Site) -> head.Home:
    """The home as its client writes it."""
    return head.Home(
        code=with_check(site.code),
        client_name=site.client.name,
        zone=site.time_zone,
        place_lines=(site.name, *site.address_lines.splitlines()),
        client_reading=site.client.reading or None,
        language=site.reading_language,
    )


def contact_facts(contact: Contact) -> head.Contact:
    """Somebody to call."""
    return head.Contact(contact.name, role=CONTACTS[contact.kind], phone=contact.phone)


def at_home(moment: datetime, site: Site) -> datetime:
    """The moment on the home's clock."""
    return moment.astimezone(ZoneInfo(site.time_zone))


def local_day(moment: datetime, site: Site) -> date:
    """The calendar day at the home."""
    return at_home(moment, site).date()


def radio_facts(mesh: Mesh, radio: Radio | None, devices: int) -> HeadRadio:
    """The head radio where it stands; what nobody recorded stays None and is printed as such."""
    code = with_check(mesh.code)
    if radio is None:
        return HeadRadio(mesh_code=code, connection=mesh.connection_path or None)
    release: FirmwareRelease | None = radio.firmware
    return HeadRadio(
        mesh_code=code,
        model=str(radio.model),
        family=radio.model.family,
        factory_address=radio.factory_address,
        carried_address=radio.address,
        serial=radio.serial,
        firmware=release.version if release else None,
        connection=mesh.connection_path or CONNECTIONS[radio.model.connection],
        power_dbm=mesh.power_dbm,
        place=radio.spot or None,
        feed=radio.feed or None,
        breaker=radio.breaker or None,
        stops=(_everything(devices),) if devices else None,
    )


def _everything(devices: int) -> Fixed:
    return fixed_many(
        "everything automatic in this mesh: {n} device",
        "everything automatic in this mesh: {n} devices",
        devices,
    )


def mesh_facts(mesh: Mesh, radio: Radio | None, nodes: list[Node], read_on: date | None) -> MeshFacts:
    """The mesh without anything that lets anybody in."""
    room = room_in(mesh, radio.model if radio else None)
    ceilings = tuple(
        Ceiling(
            resource=RESOURCES[each.resource.value],
            used=each.used,
            limit=each.limit.value,
            source=LIMIT_SOURCES[each.limit.source.value] if each.limit.source else None,
        )
        for each in room.resources
        if each.used is not None or each.limit.value is not None
    )
    return MeshFacts(
        code=with_check(mesh.code),
        purpose=mesh.name or None,
        channel=mesh.channel,
        pan_id=mesh.pan_id,
        extended_pan_id=mesh.extended_pan_id,
        counts=role_counts(nodes),
        headroom=Headroom(ceilings, read_on=read_on),
        survey=survey_facts(mesh),
        key_mark=mesh.key_mark or None,
        key_sequence=mesh.key_sequence,
    )


def survey_facts(mesh: Mesh) -> ChannelSurvey | None:
    """The Wi-Fi that the newest survey heard; None where nobody has listened."""
    survey = mesh.surveys.first()
    if survey is None:
        return None
    cells = (WifiCell(each.channel, each.megahertz, each.level_dbm) for each in survey.heard.all())
    return ChannelSurvey(survey.done_on, tuple(cells))


def role_counts(nodes: list[Node]) -> RoleCounts:
    """Devices by role."""
    routers = sum(node.role == "router" for node in nodes)
    sleepers = sum(node.role == "end_device" for node in nodes)
    return RoleCounts(routers, sleepers, len(nodes) - routers - sleepers)


def safety_facts(nodes: list[Node]) -> tuple[SafetyItem, ...]:
    """Everything that can hurt somebody when it stops, locks first."""
    items = [node for node in nodes if node.safety_kind]
    order = list(SafetyKind.values)
    items.sort(key=lambda node: (order.index(node.safety_kind), node.room, node_name(node)))
    return tuple(
        SafetyItem(
            kind=SAFETY[node.safety_kind],
            name=node_name(node),
            room=node.room or None,
            fall_back=node.by_hand or None,
            tested_on=node.tested_by_hand_on,
            result=fixed("worked by hand") if node.tested_by_hand_on else None,
        )
        for node in items
    )


def node_name(node: Node) -> str:
    """What people call it, else the last four digits of its address, which read alike in every language."""
    return node.label or f"…{node.extended_address[-4:]}"


def notice_by(agreement: Agreement) -> date | None:
    """The last day for notice."""
    if agreement.ends_on is None:
        return None
    return agreement.ends_on - timedelta(days=agreement.notice_days)


def warranty_end(radio: Radio) -> date | None:
    """The last day of a radio's warranty, counted in months of mean length where the day does not exist."""
    if radio.bought_on is None or radio.warranty_months is None:
        return None
    months = radio.bought_on.month - 1 + radio.warranty_months
    year, month = radio.bought_on.year + months // 12, months % 12 + 1
    try:
        return radio.bought_on.replace(year=year, month=month)
    except ValueError:
        return (date(year, month, 1) + timedelta(days=MEAN_MONTH_DAYS)).replace(day=1) - timedelta(days=1)
