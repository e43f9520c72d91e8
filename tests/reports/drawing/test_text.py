"""What stands on the paper, read back from it."""

from dataclasses import replace

import pytest

from reports.drawing import handover, recovery
from reports.drawing.sheet import Paper
from reports.facts.head import Firm
from reports.facts.radio import HeadRadio
from reports.facts.recovery import BackOut
from reports.facts.snapshots import StartValue
from tests.reports import samples
from tests.reports.reading import HANDOVERS, drawn, squeezed, text_of, texts_in

GROUPED = frozenset({"factory_address", "carried_address", "extended_pan_id", "key_mark", "digest"})
HANDOVER_LEAVES_OUT = GROUPED | {"language", "kind", "mark", "state"}
RECOVERY_LEAVES_OUT = GROUPED | {
    *("language", "kind", "mark", "purpose", "survey", "headroom", "extended_pan_id"),
    *("tested_by", "result", "stops", "family", "address_lines", "email", "hours", "complaint_route"),
}


@pytest.mark.parametrize("paper", Paper)
def test_every_fact_of_the_model_home_stands_on_its_handover_sheet(paper):
    printed = text_of(drawn("hand-over", "model home", paper)).lower()
    wanted = texts_in(samples.kelp_handover(), HANDOVER_LEAVES_OUT)
    assert [text for text in wanted if squeezed(text).lower() not in printed] == []


@pytest.mark.parametrize("paper", Paper)
def test_every_fact_of_the_model_home_stands_on_its_recovery_sheet(paper):
    printed = text_of(drawn("recovery", "model home", paper)).lower()
    wanted = texts_in(samples.kelp_recovery(), RECOVERY_LEAVES_OUT)
    assert [text for text in wanted if squeezed(text).lower() not in printed] == []


@pytest.mark.parametrize(
    "said",
    [
        "Friday, 26 March 2027 (2027-03-26), 09:00",
        "Europe/Oslo, UTC+01:00",
        "3, replaces revision 2",
        "31 devices in 7 rooms, led by 1 head radio.",
        "31 devices, as many as the node list holds",
        "5 light, 5 sensor, 4 contact, 4 socket, 3 smoke alarm, 3 thermostat, 2 leak sensor, 2 lock",
        "02A4 C138 F00D 0011",
        "02A4 C138 F00D 0007",
        "0x4A21",
        "02F0 0D00 C0FF EE07",
        "1 head, 13 routers and 18 end devices",
        "9F3C 71A4",
        "18 of 32 declared",
        "9 used, limit not recorded",
        "full in about 9.3 months",
        "every 24 hours",
        "26 March 2027, 03:00",
        "24 March 2027, 14:20",
        "at most 3 days old",
        "within 4 h",
        "November 2027",
        "31 May 2028",
        "until 12 September 2028",
        "NO-E-20718",
        "Never two radios on air with one identity.",
        "The mesh is not the only alarm",
        "licensed people only",
    ],
)
def test_the_handover_sheet_says(said):
    assert squeezed(said) in text_of(drawn("hand-over", "model home", Paper.A4))


@pytest.mark.parametrize(
    "said",
    [
        "At night call +47 555 01 199",
        "Friday, 26 March 2027 (2027-03-26) 09:00, Europe/Oslo (UTC+01:00)",
        "valid to 26 September 2027",
        "Is it the radio? 10 min in all",
        "clean, 24 March 2027",
        "26 March 2027, 03:00 (Europe/Oslo, UTC+01:00)",
        "5B1F A2C9 4D77 30E1",
        "sound, 31 nodes",
        "17,080,656",
        "518,400 more for each further day begun",
        "Never write the number in the file. Never use a number twice.",
        "ONE IDENTITY, ONE VOICE",
        "BEFORE the new one is powered",
        "Estimate 1 h 1 min (27 min to 2 h 16 min), the way there 0 min of it",
        "The steps' targets below add up to 57 min: without those, with the wake-up walk.",
        "POINT OF NO RETURN",
        "Can it be backed out? YES",
        "SAFETY FIRST: hand test with a witness",
        "1 day 2 h",
        "Routers: 13 due in 5 min",
        "Transmit power as before: +8 dBm",
        "3.5 hours, between 2.5 and 6",
        "Ladders: two persons. Local codes override this sheet.",
        "replaced when key, radio, channel, contact or spare changes",
    ],
)
def test_the_recovery_sheet_says(said):
    assert squeezed(said) in text_of(drawn("recovery", "model home", Paper.A4))


def test_people_come_before_radios_on_the_recovery_sheet():
    printed = text_of(drawn("recovery", "model home", Paper.A4))
    assert printed.index("First:arepeoplesafe?") < printed.index("Isittheradio?") < printed.index("8Steps")


def test_an_unknown_fact_is_printed_as_not_recorded():
    facts = replace(samples.kelp_handover(), radios=(replace(samples.KELP_RADIO, breaker=None),))
    assert "Itsbreakernotrecorded" in text_of(handover.draw(facts, Paper.A4))


def test_none_recorded_and_recorded_as_none_read_differently():
    facts = samples.kelp_handover()
    unknown = text_of(handover.draw(replace(facts, safety=None), Paper.A4))
    none = text_of(handover.draw(replace(facts, safety=()), Paper.A4))
    assert "Thelistofsafetyitemsisnotrecorded." in unknown
    assert "Therearenoneinthishome." in none


def test_a_home_of_which_nothing_is_known_still_gets_all_its_sections():
    printed = text_of(drawn("hand-over", "nothing known", Paper.A4))
    assert all(f"{number}{head}" in printed for number, head in ((1, "Whatwasinstalled"), (11, "Signatures")))


def test_a_device_count_that_nobody_checked_is_not_called_checked():
    facts = replace(samples.kelp_handover(), meshes=(replace(samples.KELP_MESH, counts=None),))
    assert "asmanyas" not in text_of(handover.draw(facts, Paper.A4))


def test_a_home_with_two_meshes_names_the_mesh_of_each_device():
    facts = samples.kelp_handover()
    hall, *rest = samples.ROOMS
    first, *others = hall.devices
    marked = replace(hall, devices=(replace(first, mesh_code="KELP-7-B/X"), *others))
    second = replace(samples.KELP_MESH, code="KELP-7-B/X", counts=None)
    both = replace(facts, rooms=(marked, *rest), meshes=(*facts.meshes, second))
    assert "wallswitchbesidethedoorKELP-7-B/X" in text_of(handover.draw(both, Paper.A4))


def test_no_spare_is_said_aloud():
    facts = replace(samples.kelp_recovery(), spare=None)
    assert "Nosparecountsforthismesh:calltheoffice" in text_of(recovery.draw(facts, Paper.A4))


def test_no_snapshot_sends_the_reader_to_joining_again():
    facts = replace(samples.kelp_recovery(), snapshot=None)
    assert "NOSOUNDSNAPSHOT.Thismeshcannotberestored:gotobox12." in text_of(recovery.draw(facts, Paper.A4))


def test_no_start_value_forbids_to_invent_one():
    facts = replace(samples.kelp_recovery(), start_value=None)
    assert "Donotwriteanumberofyourownmaking" in text_of(recovery.draw(facts, Paper.A4))


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (2_147_483_647, None),
        (2_147_483_648, "Pasthalfofthecounter'srange"),
        (4_294_967_294, "Pasthalfofthecounter'srange"),
        (4_294_967_295, "THECOUNTERISATITSEND"),
    ],
)
def test_a_start_value_near_the_end_of_the_counter_warns(number, said):
    facts = replace(samples.kelp_recovery(), start_value=StartValue(number, 518_400))
    printed = text_of(recovery.draw(facts, Paper.A4))
    warnings = [text for text in ("Pasthalfofthecounter'srange", "THECOUNTERISATITSEND") if text in printed]
    assert warnings == ([said] if said else [])


def test_no_way_back_is_printed_with_its_reason():
    facts = replace(samples.kelp_recovery(), back_out=BackOut(False, "its address is used; 59 days deaf"))
    assert "Canitbebackedout?NO:itsaddressisused;59daysdeaf" in text_of(recovery.draw(facts, Paper.A4))


def test_a_build_without_a_model_is_not_lost():
    facts = replace(samples.kelp_recovery(), radio=HeadRadio("KELP-7-A/3", firmware="7.4.2"))
    assert "modelnotrecorded,build7.4.2" in text_of(recovery.draw(facts, Paper.A4))


def test_a_firm_without_a_night_number_is_not_given_one():
    facts = replace(
        samples.kelp_recovery(), firm=Firm("Hollin & Weir House Signals", day_phone="+47 555 01 170")
    )
    assert "NightnumbernotrecordedHollin&WeirHouseSignals,byday+4755501170" in text_of(
        recovery.draw(facts, Paper.A4)
    )


def test_markup_prints_as_it_was_typed():
    printed = text_of(drawn("hand-over", "nasty 1", Paper.A4))
    assert squeezed(samples.NASTY_NAMES[1]) in printed


def test_an_emoji_prints_as_its_number_and_a_control_character_not_at_all():
    printed = text_of(drawn("hand-over", "nasty 2", Paper.A4))
    assert "CorlanevilBight(U+1F600)(U+1F468)(U+1F469)(U+1F467)guesthouse" in printed


def test_a_word_of_two_hundred_letters_is_printed_whole():
    assert "W" * 200 in text_of(drawn("hand-over", "nasty 3", Paper.A4))


def test_all_250_devices_are_listed():
    printed = text_of(drawn("hand-over", "250 devices", Paper.A4))
    names = [device.name for room in HANDOVERS["250 devices"]().rooms for device in room.devices]
    assert [name for name in names if squeezed(name) not in printed] == []
