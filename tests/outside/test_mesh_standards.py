"""What the standards and catalogues print, against our own mesh room. The source stands in each test's id."""

import pytest

from fleet.mesh.addresses import is_locally_administered, is_node_short, parse_eui64, show_eui64
from fleet.mesh.channels import (
    CHANNELS,
    PREFERRED,
    centre_mhz,
    channels_in_mask,
    covered_by_centre,
    free_channels,
    mask_of,
    wifi_centre_mhz,
    wifi_covers,
)
from fleet.mesh.codes import check_character
from fleet.mesh.counters import SPACE_END
from fleet.mesh.install_codes import aes_mmo, check_octets, crc16_x25, link_key_of, parse_install_code


@pytest.mark.parametrize(
    ("channel", "mhz"),
    [
        pytest.param(11, 2405, id="IEEE 802.15.4, 2.4 GHz O-QPSK channel numbering, 11"),
        pytest.param(15, 2425, id="IEEE 802.15.4, 2.4 GHz O-QPSK channel numbering, 15"),
        pytest.param(20, 2450, id="IEEE 802.15.4, 2.4 GHz O-QPSK channel numbering, 20"),
        pytest.param(25, 2475, id="IEEE 802.15.4, 2.4 GHz O-QPSK channel numbering, 25"),
        pytest.param(26, 2480, id="IEEE 802.15.4, 2.4 GHz O-QPSK channel numbering, 26"),
    ],
)
def test_a_channel_has_its_published_centre(channel: int, mhz: int) -> None:
    assert centre_mhz(channel) == mhz


@pytest.mark.parametrize(
    ("channel", "mhz"),
    [
        pytest.param(1, 2412, id="IEEE 802.11, 2.4 GHz, channel 1"),
        pytest.param(6, 2437, id="IEEE 802.11, 2.4 GHz, channel 6"),
        pytest.param(11, 2462, id="IEEE 802.11, 2.4 GHz, channel 11"),
        pytest.param(13, 2472, id="IEEE 802.11, 2.4 GHz, channel 13"),
        pytest.param(14, 2484, id="IEEE 802.11, 2.4 GHz, channel 14, off the grid"),
    ],
)
def test_a_wifi_channel_has_its_published_centre(channel: int, mhz: int) -> None:
    assert wifi_centre_mhz(channel) == mhz


@pytest.mark.parametrize(
    ("wifi", "covered"),
    [
        pytest.param(1, {11, 12, 13, 14}, id="by hand from IEEE 802.15.4 and 802.11 centres: 20 MHz on 1"),
        pytest.param(6, {16, 17, 18, 19}, id="by hand from IEEE 802.15.4 and 802.11 centres: 20 MHz on 6"),
        pytest.param(11, {21, 22, 23, 24}, id="by hand from IEEE 802.15.4 and 802.11 centres: 20 MHz on 11"),
        pytest.param(13, {23, 24, 25, 26}, id="by hand from IEEE 802.15.4 and 802.11 centres: 20 MHz on 13"),
    ],
)
def test_wifi_covers_the_channels_that_a_hand_calculation_names(wifi: int, covered: set[int]) -> None:
    assert wifi_covers(wifi) == covered


@pytest.mark.parametrize(
    ("mhz", "width", "covered"),
    [
        pytest.param(
            2422,
            40,
            {11, 12, 13, 14, 15, 16, 17, 18},
            id="by hand from IEEE 802.15.4 and 802.11 centres: 40 MHz centred on 2422",
        )
    ],
)
def test_wide_wifi_covers_the_channels_that_a_hand_calculation_names(
    mhz: int, width: int, covered: set[int]
) -> None:
    assert covered_by_centre(mhz, width) == covered


@pytest.mark.parametrize(
    ("plan", "free"),
    [
        pytest.param(
            [1, 6, 11], {15, 20, 25, 26}, id="by hand from IEEE 802.15.4 and 802.11 centres: plan 1, 6, 11"
        ),
        pytest.param(
            [1, 5, 9, 13], set(), id="by hand from IEEE 802.15.4 and 802.11 centres: plan 1, 5, 9, 13"
        ),
    ],
)
def test_a_wifi_plan_leaves_the_channels_that_a_hand_calculation_names(
    plan: list[int], free: set[int]
) -> None:
    assert free_channels(plan) == free


@pytest.mark.parametrize(
    ("channels", "mask"),
    [
        pytest.param(CHANNELS, 0x07FFF800, id="Zigbee Base Device Behavior: all channels at 2.4 GHz"),
        pytest.param(PREFERRED, 0x02108800, id="Zigbee Base Device Behavior: primary channel set"),
        pytest.param((11, 15, 20, 25), 0x02108800, id="Zigbee Base Device Behavior: 11, 15, 20, 25"),
    ],
)
def test_a_channel_mask_has_its_published_value(channels: tuple[int, ...], mask: int) -> None:
    assert (mask_of(channels), channels_in_mask(mask)) == (mask, frozenset(channels))


@pytest.mark.parametrize(
    ("text", "address", "local"),
    [
        pytest.param(
            "34-56-78-FF-FE-9A-BC-DE",
            "3456 78FF FE9A BCDE",
            False,
            id="RFC 4291 appendix A: an EUI-64 from a 48-bit address, universal",
        ),
        pytest.param(
            "3656:78FF:FE9A:BCDE",
            "3656 78FF FE9A BCDE",
            True,
            id="RFC 4291 appendix A: the same with the universal/local bit inverted",
        ),
        pytest.param(
            "00-00-5E-EF-10-00-00-00",
            "0000 5EEF 1000 0000",
            False,
            id="RFC 7042 section 2.2.3: first EUI-64 for documents, universal",
        ),
        pytest.param(
            "02-00-5E-EF-10-00-00-00",
            "0200 5EEF 1000 0000",
            True,
            id="IEEE 802, U/L bit set in an EUI-64",
        ),
    ],
)
def test_a_published_eui64_reads_and_tells_who_stands_behind_it(text: str, address: str, local: bool) -> None:
    read = parse_eui64(text)

    assert (show_eui64(read), is_locally_administered(read)) == (address, local)


@pytest.mark.parametrize(
    ("short", "node"),
    [
        pytest.param(0x0000, True, id="Zigbee specification, NWK: the coordinator"),
        pytest.param(0xFFF7, True, id="Zigbee specification, NWK: the last unicast address"),
        pytest.param(0xFFF8, False, id="Zigbee specification, NWK: reserved"),
        pytest.param(0xFFFB, False, id="Zigbee specification, NWK: broadcast to low power routers"),
        pytest.param(0xFFFC, False, id="Zigbee specification, NWK: broadcast to routers"),
        pytest.param(0xFFFD, False, id="Zigbee specification, NWK: broadcast to all awake"),
        pytest.param(0xFFFE, False, id="IEEE 802.15.4: no short address"),
        pytest.param(0xFFFF, False, id="Zigbee specification, NWK: broadcast to all"),
    ],
)
def test_a_short_address_is_a_node_as_the_standard_says(short: int, node: bool) -> None:
    assert is_node_short(short) is node


@pytest.mark.parametrize(
    ("data", "crc"),
    [
        pytest.param(
            b"123456789", 0x906E, id="Catalogue of parametrised CRC algorithms: CRC-16/IBM-SDLC, X-25"
        )
    ],
)
def test_the_crc_has_its_catalogue_check_value(data: bytes, crc: int) -> None:
    assert crc16_x25(data) == crc


def counting(octets: int, first: int = 0) -> bytes:
    """Octets that count up from the first and wrap at 256."""
    return bytes((first + place) % 256 for place in range(octets))


@pytest.mark.parametrize(
    ("message", "digest"),
    [
        pytest.param(
            counting(1, 0xC0),
            "AE3A102A28D43EE0D4A09E22788B206C",
            id="Zigbee specification 05-3474-21 C.5.1: 1 octet",
        ),
        pytest.param(
            counting(16, 0xC0),
            "A7977E88BC0B61E8210827109A228F2D",
            id="Zigbee specification 05-3474-21 C.5.2: 16 octets",
        ),
        pytest.param(
            counting(8191),
            "24EC2FE75BBFFCB34789BC0610E7F165",
            id="Zigbee specification 05-3474-21 C.5.3: 8191 octets, the longest with a short length",
        ),
        pytest.param(
            counting(8192),
            "DC6B0687F09F8607131C170B3BD31591",
            id="Zigbee specification 05-3474-21 C.5.4: 8192 octets, the first with a long length",
        ),
        pytest.param(
            counting(8201),
            "72C9B15E178AA843E4A16C58E33643A3",
            id="Zigbee specification 05-3474-21 C.5.5: 8201 octets",
        ),
        pytest.param(
            counting(8202),
            "BC9828D59B2AA323DAF20BE5F2E66511",
            id="Zigbee specification 05-3474-21 C.5.6: 8202 octets",
        ),
    ],
)
def test_the_aes_hash_has_its_published_values(message: bytes, digest: str) -> None:
    assert aes_mmo(message) == bytes.fromhex(digest)


@pytest.mark.parametrize(
    ("code", "check", "link_key"),
    [
        pytest.param(
            "83FED3407A939723A5C639B26916D505",
            "C3B5",
            "66B6900981E1EE3CA4206B6B861C02BB",
            id="Zigbee Base Device Behavior, install code example",
        )
    ],
)
def test_the_sample_install_code_has_its_check_and_derives_its_key(
    code: str, check: str, link_key: str
) -> None:
    octets = parse_install_code(code + check)

    assert octets == bytes.fromhex(code)
    assert check_octets(octets) == bytes.fromhex(check)
    assert link_key_of(octets) == bytes.fromhex(link_key)


@pytest.mark.parametrize(
    ("text", "check"),
    [
        pytest.param("A12425GABC1234002", "M", id="ISO/IEC 7064 MOD 37,36: the published GRid example"),
        pytest.param(
            "A1-2425G-ABC1234002", "M", id="ISO/IEC 7064 MOD 37,36: the same as printed, with dashes"
        ),
    ],
)
def test_a_check_character_has_its_published_value(text: str, check: str) -> None:
    assert check_character(text) == check


@pytest.mark.parametrize(
    ("value", "usable"),
    [
        pytest.param(0xFFFF_FFFE, True, id="Zigbee specification, NWK security: the last frame counter"),
        pytest.param(0xFFFF_FFFF, False, id="Zigbee specification, NWK security: 0xFFFFFFFF is not used"),
    ],
)
def test_the_counter_space_ends_where_the_standard_says(value: int, usable: bool) -> None:
    assert (value < SPACE_END) is usable
