"""Invented homes as sheet facts, from the demo book: one that is full, one that is bare, some that are nasty."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from reports.facts import usual
from reports.facts.care import Agreement, Batteries, Entry, NotTested, Signing, Warranty
from reports.facts.handover import Device, HandoverFacts, Room, WithoutRadio
from reports.facts.head import Contact, Firm, Home, Issue
from reports.facts.mesh import Ceiling, ChannelSurvey, Headroom, MeshFacts, RoleCounts, WifiCell
from reports.facts.radio import HeadRadio, Spare
from reports.facts.recovery import (
    Acceptance,
    BackOut,
    Hours,
    RecoveryFacts,
    Rejoin,
    Sleeper,
    Taking,
    WayIn,
)
from reports.facts.safety import MainsPart, SafetyItem
from reports.facts.snapshots import CalendarDay, DayMark, LockedOut, SnapshotCare, SnapshotMark, StartValue

OSLO = ZoneInfo("Europe/Oslo")
ISSUED = datetime(2027, 3, 26, 9, 0, tzinfo=OSLO)

FIRM = Firm(
    name="Hollin & Weir House Signals",
    day_phone="+47 555 01 170",
    night_phone="+47 555 01 199",
    email="care@hollin-weir.example",
    hours="Monday to Friday, 08:00 to 17:00",
    address_lines=("Quay 3", "8398 Å", "Norway"),
    complaint_route="Orla Hentsch, owner, in writing; answered within 14 days",
)
KELP = Home(
    code="KELP-7/U",
    client_name="Ingunn Sæther",
    zone="Europe/Oslo",
    place_lines=("Naustveien 7", "8390 Reine", "Norway"),
)
KELP_MESH = MeshFacts(
    code="KELP-7-A/3",
    purpose="whole house and boathouse",
    channel=15,
    pan_id=0x4A21,
    extended_pan_id="02F00D00C0FFEE07",
    counts=RoleCounts(routers=13, end_devices=18),
    headroom=Headroom(
        ceilings=(
            Ceiling("direct children", 18, 32, "declared"),
            Ceiling("neighbours", 13, 26, "declared"),
            Ceiling("link keys", 31, 100, "declared"),
            Ceiling("bindings", 9, None),
            Ceiling("observed ceiling", None, None),
        ),
        read_on=date(2027, 3, 24),
        months_left=Decimal("9.3"),
    ),
    survey=ChannelSurvey(
        date(2026, 11, 3),
        (WifiCell(1, 20, -52), WifiCell(6, 20, -71), WifiCell(11, 20, -44), WifiCell(9, 40, -83)),
    ),
    key_mark="9F3C71A4",
    key_sequence=4,
)
KELP_RADIO = HeadRadio(
    mesh_code="KELP-7-A/3",
    model="Alder A2",
    family="P",
    factory_address="02A4C138F00D0011",
    carried_address="02A4C138F00D0007",
    serial="A2-26-00417",
    firmware="7.4.2",
    connection="serial, stable path by serial number",
    power_dbm=8,
    region="Europe",
    place="hall, shelf above the coat rack, 2.1 m up",
    feed="white socket behind the shelf",
    breaker="7, hall",
    stops=(
        "floor heating follows its own thermostats only",
        "remote lock",
        "leak messages",
        "boathouse lights by plan",
    ),
)
ROOMS = (
    Room(
        "Hall",
        (
            Device(
                "Ceiling light",
                "light",
                "light by the switch and by plan",
                "mains",
                "wall switch beside the door",
            ),
            Device(
                "Front door lock",
                "lock",
                "opens by phone and by key",
                "battery, 4 cells",
                "key; thumb-turn inside",
            ),
            Device(
                "Door contact", "contact", "tells when the door stands open", "battery", "look at the door"
            ),
            Device(
                "Smoke alarm",
                "smoke alarm",
                "sounds by itself, also tells the others",
                "battery",
                "sounds on its own",
            ),
        ),
    ),
    Room(
        "Living room",
        (
            Device("Reading lamp socket", "socket", "lamp and radio", "mains", "button on the socket"),
            Device("Window lamp socket", "socket", "window lamps at dusk", "mains", "button on the socket"),
            Device("Thermostat", "thermostat", "floor heating", "mains", "wheel on its face, 5 to 30 °C"),
            Device("Temperature sensor", "sensor", "room temperature", "battery", "not needed for heating"),
            Device(
                "Window contact west", "contact", "heating pauses while open", "battery", "close the window"
            ),
            Device(
                "Window contact east", "contact", "heating pauses while open", "battery", "close the window"
            ),
        ),
    ),
    Room(
        "Kitchen",
        (
            Device("Worktop light", "light", "light", "mains", "switch under the shelf"),
            Device(
                "Cooker guard socket",
                "socket",
                "switches the cooker off when nobody is near",
                "mains",
                "red button",
            ),
            Device(
                "Leak sensor sink",
                "leak sensor",
                "tells of water on the floor",
                "battery",
                "look under the sink",
            ),
            Device("Thermostat", "thermostat", "floor heating", "mains", "wheel on its face, 5 to 30 °C"),
            Device(
                "Smoke alarm",
                "smoke alarm",
                "sounds by itself, also tells the others",
                "battery",
                "sounds on its own",
            ),
        ),
    ),
    Room(
        "Bathroom",
        (
            Device("Thermostat", "thermostat", "floor heating", "mains", "wheel on its face, 5 to 30 °C"),
            Device(
                "Leak sensor",
                "leak sensor",
                "closes the main valve",
                "battery",
                "valve in the store room, quarter turn",
            ),
            Device("Humidity sensor", "sensor", "starts the fan", "battery", "pull cord of the fan"),
        ),
    ),
    Room(
        "Bedroom",
        (
            Device("Ceiling light", "light", "light", "mains", "wall switch"),
            Device("Bedside button", "button", "all lights off", "battery", "wall switches"),
            Device("Temperature sensor", "sensor", "room temperature", "battery", "not needed for heating"),
            Device(
                "Smoke alarm",
                "smoke alarm",
                "sounds by itself, also tells the others",
                "battery",
                "sounds on its own",
            ),
        ),
    ),
    Room(
        "Store room",
        (
            Device(
                "Water valve",
                "valve",
                "closes the main water on a leak",
                "mains",
                "lever on the valve, quarter turn",
            ),
            Device(
                "Frost guard relay",
                "relay",
                "pipe heating below +3 °C",
                "mains",
                "switch inside the grey box, licensed people",
            ),
            Device(
                "Frost sensor", "sensor", "temperature at the pipes", "battery", "thermometer on the wall"
            ),
        ),
    ),
    Room(
        "Boathouse",
        (
            Device("Light north", "light", "light by plan", "mains", "pull switch at the gate"),
            Device("Light south", "light", "light by plan", "mains", "pull switch at the gate"),
            Device(
                "Gate contact", "contact", "tells when the gate stands open", "battery", "look at the gate"
            ),
            Device("Level sensor", "sensor", "tide in the slip", "battery", "mark on the post"),
            Device("Winch lock", "lock", "frees the winch", "battery", "key in the hall cupboard"),
            Device(
                "Repeater socket",
                "socket",
                "carries the mesh across the yard",
                "mains",
                "leave it plugged in",
            ),
        ),
    ),
)
SAFETY = (
    SafetyItem("lock", "Front door lock", "Hall", "stays as it is; key works", "key, second key at the neighbour's",
               "Noor Vantongeren", date(2027, 3, 24), "opened and closed by key"),
    SafetyItem("heat", "Frost guard relay", "Store room", "keeps its last state", "switch in the grey box to ON",
               "Noor Vantongeren", date(2027, 3, 24), "heats by hand"),
    SafetyItem("smoke", "Smoke alarms, three", "Hall, kitchen, bedroom", "each sounds alone",
               "each sounds alone; call 110", "Pekka Laine-Osei", date(2027, 3, 24), "all three sounded"),
    SafetyItem("water", "Water valve", "Store room", "stays open", "lever, quarter turn", None, None, None),
)  # fmt: skip


def calendar_days(last: date, count: int, proven: date | None = None) -> tuple[CalendarDay, ...]:
    """Daily marks up to a last day: mostly sound, each 17th missing, each 23rd landed only."""
    days = []
    for back in range(count - 1, -1, -1):
        day = last - timedelta(days=back)
        number = day.toordinal()
        mark = DayMark.NONE if number % 17 == 0 else DayMark.LANDED if number % 23 == 0 else DayMark.SOUND
        days.append(CalendarDay(day, DayMark.PROVEN if day == proven else mark))
    return tuple(days)


def kelp_handover() -> HandoverFacts:
    """The model home: everything is known but the test of one valve."""
    return HandoverFacts(
        issue=Issue("H-000012-0", 3, ISSUED, 2),
        firm=FIRM,
        home=KELP,
        rooms=ROOMS,
        radios=(KELP_RADIO,),
        without_radio=(
            WithoutRadio("Lights", "All wall switches and lamp buttons work. Plans and dusk switching do not."),
            WithoutRadio("Doors", "The front door opens by key from outside and by thumb-turn from inside."),
            WithoutRadio("Heating", "Floor heating follows the wheel on each thermostat, between 5 and 30 °C."),
            WithoutRadio("Alarms", "Each smoke alarm sounds by itself; they no longer wake each other."),
            WithoutRadio("Water", "The leak sensors do not close the valve. Close it by its lever, a quarter turn."),
        ),
        safety=SAFETY,
        mains=(
            MainsPart("Frost guard relay, store room", "Noor Vantongeren", "NO-E-20718", date(2025, 9, 12)),
            MainsPart("Thermostats, three", "Noor Vantongeren", "NO-E-20718", date(2025, 9, 12)),
        ),
        meshes=(KELP_MESH,),
        snapshots=(
            SnapshotCare(
                mesh_code="KELP-7-A/3",
                every_hours=24,
                kept_where="with the firm, sealed, and not on the controller in this house",
                sealed_copy_at="in the firm's safe at Quay 3, and with the spare in this house",
                promised_point_hours=72,
                promised_time_minutes=240,
                last_sound_at=datetime(2027, 3, 26, 3, 0, tzinfo=OSLO),
                last_proven_at=datetime(2027, 3, 24, 14, 20, tzinfo=OSLO),
                days=calendar_days(date(2027, 3, 26), 182, date(2027, 3, 24)),
            ),
        ),
        duties=("Keep the yard side of the repeater socket free; the boathouse hangs on it.",),
        batteries=(
            Batteries("CR2032", 9, date(2027, 9, 1)),
            Batteries("AA alkaline", 12, date(2027, 11, 1)),
            Batteries("CR123A", 3, None),
        ),
        agreement=Agreement(
            reference="C-2025-031",
            starts_on=date(2025, 9, 1),
            ends_on=date(2028, 8, 31),
            notice_by=date(2028, 5, 31),
            hours_covered="every day, 07:00 to 22:00",
            response_hours=4,
            drill_every_days=182,
            owns_radio="the client; the spare belongs to the firm",
        ),
        contacts=(
            Contact("Ingunn Sæther", "client", "+47 555 01 120", "evenings"),
            Contact("Per Sæther", "brother, has a key", "+47 555 01 121", "emergency"),
        ),
        warranties=(Warranty("Alder A2 radio", date(2028, 9, 12)), Warranty("Front door lock", date(2027, 9, 12))),
        data_held=("names and rooms of devices", "snapshots of the mesh", "visits and calls"),
        entry=(
            Entry("Noor Vantongeren", "by appointment"),
            Entry("Pekka Laine-Osei", "ladder work, second person"),
        ),
        battery_disposal="the box at the harbour shop, or hand them to us",
        signing=Signing(
            "Noor Vantongeren",
            "Ingunn Sæther",
            ("level sensor in the slip answers late at spring tide",),
            (NotTested("water valve", "the main was needed by a neighbour that day"),),
        ),
    )  # fmt: skip


def sleepers_of(rooms: tuple[Room, ...]) -> tuple[Sleeper, ...]:
    """The battery devices of some rooms, alarms and locks marked as safety devices."""
    return tuple(
        Sleeper(
            device.name,
            room.name,
            "press its button once" if number % 2 else "open and close it",
            1560 if number % 5 == 0 else 120,
            device.kind in ("lock", "smoke alarm"),
        )
        for room in rooms
        for number, device in enumerate(room.devices)
        if device.power is not None and device.power.startswith("battery")
    )


def kelp_recovery() -> RecoveryFacts:
    """The model home's mesh: spare in the house, proven two days ago."""
    return RecoveryFacts(
        issue=Issue("R-000013-C", 5, ISSUED, 4),
        firm=FIRM,
        home=KELP,
        mesh=KELP_MESH,
        radio=KELP_RADIO,
        way_in=WayIn(
            parking="harbour square, 60 m; not on the quay at night",
            floor="ground floor",
            alarm_route="Lofoten Guard, +47 555 01 150, say KELP-7 and your name",
            door_code_from="Per Sæther, or the firm's night number",
        ),
        contacts=(
            Contact("Ingunn Sæther", "client", "+47 555 01 120"),
            Contact("Per Sæther", "brother", "+47 555 01 121"),
        ),
        safety=SAFETY,
        do_not_begin=usual.DO_NOT_BEGIN,
        checks=usual.usual_checks(KELP_RADIO),
        spare=Spare(
            "Alder A2",
            "A2-26-00502",
            "in this house: hall cupboard, top shelf, grey box",
            "7.4.2",
            "clean",
            date(2027, 3, 24),
            "Kwabena Ruud",
            date(2027, 3, 25),
        ),
        snapshot=SnapshotMark(
            datetime(2027, 3, 26, 3, 0, tzinfo=OSLO),
            "sound",
            "5b1fa2c94d7730e18c22b67f0a9e4d13c5f8e7a6b4d2901f3e5c7a9b8d6f4e21",
            31,
            4,
        ),
        locked_out=(LockedOut("copies taken before 14 February 2027", "the network key was changed that day"),),
        start_value=StartValue(17_080_656, 518_400, "Worked out at 3 frames a second, doubled, from all evidence."),
        steps=usual.usual_steps(waking_minutes=40),
        taking=Taking(27, 61, 136, 0),
        back_out=BackOut(True, "the old radio can be written again, but only with a new number from the office"),
        sleepers=sleepers_of(ROOMS),
        accept=Acceptance(13, 18, 6),
        rejoin=(
            Rejoin(
                "Routers, from the head outwards",
                tuple(
                    f"{device.name} ({room.name})"
                    for room in ROOMS
                    for device in room.devices
                    if device.power == "mains"
                ),
            ),
            Rejoin("Sleepers", ("all of box 9, room by room",)),
            Rejoin("Locks and alarms, with a witness", ("the safety devices of box 9",)),
        ),
        rejoin_hours=Hours(Decimal("2.5"), Decimal("3.5"), Decimal("6")),
        safe_tonight=("frost guard relay by hand to ON", "front door by key", "all three smoke alarms tested alone"),
        valid_to=date(2027, 9, 26),
    )  # fmt: skip


def bare_handover() -> HandoverFacts:
    """A home of which next to nothing is recorded: no node, no agreement, no list of anything."""
    return HandoverFacts(
        issue=Issue("H-000030-W", 1, ISSUED),
        firm=Firm("Hollin & Weir House Signals"),
        home=Home("BENCH-0/2", "Hollin & Weir, test flat", "Europe/Oslo"),
    )


def bare_recovery() -> RecoveryFacts:
    """A mesh of which next to nothing is recorded."""
    return RecoveryFacts(
        issue=Issue("R-000031-8", 1, ISSUED),
        firm=Firm("Hollin & Weir House Signals"),
        home=Home("BENCH-0/2", "Hollin & Weir, test flat", "Europe/Oslo"),
        mesh=MeshFacts("BENCH-0-A/J"),
        radio=HeadRadio("BENCH-0-A/J"),
    )


def many_rooms(count: int) -> tuple[Room, ...]:
    """`count` devices in rooms of nine, every third of them asleep on a battery."""
    devices = [
        Device(
            f"Sensor {number:03d}" if number % 3 == 0 else f"Ceiling light {number:03d}",
            "sensor" if number % 3 == 0 else "light",
            "temperature and movement" if number % 3 == 0 else "light by the switch and by plan",
            "battery" if number % 3 == 0 else "mains",
            "not needed by hand" if number % 3 == 0 else "wall switch beside the door",
        )
        for number in range(1, count + 1)
    ]
    return tuple(Room(f"Room {at // 9 + 1}", tuple(devices[at : at + 9])) for at in range(0, len(devices), 9))


def handover_of(count: int) -> HandoverFacts:
    """The model home with `count` devices instead of its own."""
    rooms = many_rooms(count)
    asleep = len(sleepers_of(rooms))
    mesh = replace(KELP_MESH, counts=RoleCounts(count - asleep, asleep))
    return replace(kelp_handover(), rooms=rooms, meshes=(mesh,))


def recovery_of(count: int) -> RecoveryFacts:
    """The model home's recovery sheet with `count` devices."""
    rooms = many_rooms(count)
    asleep = sleepers_of(rooms)
    awake = tuple(device.name for room in rooms for device in room.devices if device.power == "mains")
    return replace(
        kelp_recovery(),
        sleepers=asleep,
        rejoin=(Rejoin("Routers", awake), Rejoin("Sleepers", tuple(each.name for each in asleep))),
        accept=Acceptance(len(awake), len(asleep), 0),
    )


LONG_ARABIC = ("ليلى حدّاد بنت عبد الرحمن آل الشريف " * 5 + "Flat 12B")[:180]
NASTY_NAMES = (
    LONG_ARABIC,
    '=HYPERLINK(1) <b>&"bold</b> <font size=90> &amp; ]]> \\(x\\) %s {x}',
    "Corlan \u202eevil\u202c Bight \x07\x00 \U0001f600\U0001f468\u200d\U0001f469\u200d\U0001f467 guesthouse",
    "W" * 200,
)
SEVEN_LINES = (
    "Unit 12B, third courtyard behind the old weaving hall",
    "c/o the Corlan Bight Guesthouse and Reading Rooms",
    "14 Lower Battery Road, opposite the slipway",
    "St John's",
    "Newfoundland and Labrador",
    "A1A 0A1",
    "Canada",
)
SCRIPTS = {
    "greek": "Ελένη Βασιλάκη",
    "cyrillic": "Надежда Щербакова",
    "vietnamese": "Nguyễn Thị Mỹ Hạnh",
    "japanese": "森下かなえ",
    "arabic": "ليلى حدّاد",
    "devanagari": "सुनिता अधिकारी",
    "hebrew": "נועה אלמוג",
    "chinese": "陈伟明",
    "korean": "김민준",
    "maori": "Mere Tāmoana",
}


def named(facts: HandoverFacts, name: str, reading: str | None = None) -> HandoverFacts:
    """The same hand-over for a client of another name, and with one room and one device of that name."""
    first, *rest = facts.rooms
    device, *others = first.devices
    room = Room(name, (replace(device, name=name, by_hand=name), *others))
    home = replace(facts.home, client_name=name, client_reading=reading)
    return replace(facts, home=home, rooms=(room, *rest))


def nasty_handover(name: str) -> HandoverFacts:
    """The model home under a name meant to break the page, at an address of seven lines, for a firm of that name."""
    facts = named(kelp_handover(), name)
    home = replace(facts.home, place_lines=SEVEN_LINES)
    return replace(facts, home=home, firm=replace(facts.firm, name=name))


def nasty_recovery(name: str) -> RecoveryFacts:
    """The model mesh under such a name."""
    facts = kelp_recovery()
    home = replace(facts.home, client_name=name, place_lines=SEVEN_LINES)
    first, *rest = facts.sleepers or ()
    return replace(facts, home=home, sleepers=(replace(first, name=name, room=name), *rest))
