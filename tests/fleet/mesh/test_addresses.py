import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.mesh.addresses import (
    AddressError,
    find_eui64,
    is_locally_administered,
    is_node_short,
    parse_eui64,
    parse_eui64_int,
    parse_extended_pan_id,
    parse_pan_id,
    parse_short,
    reversed_eui64,
    show_eui64,
    show_extended_pan_id,
    show_pan_id,
    show_short,
)

ADDRESS = "02A4C138F00D0011"


@pytest.mark.parametrize(
    "text",
    [
        "02A4C138F00D0011",
        "02a4c138f00d0011",
        "0x02A4C138F00D0011",
        "0X02a4c138f00d0011",
        "02:a4:c1:38:f0:0d:00:11",
        "02-A4-C1-38-F0-0D-00-11",
        "02a4.c138.f00d.0011",
        "02A4 C138 F00D 0011",
        "  02A4\u00a0C138\u00a0F00D\u00a00011 ",
        "02a4:c138:f00d:0011",
    ],
)
def test_every_notation_of_an_address_reads_the_same(text: str) -> None:
    assert parse_eui64(text) == "02A4C138F00D0011"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("02A4C138F00D001", "15 hex digits, right are exactly 16"),
        ("02A4C138F00D00112", "17 hex digits, right are exactly 16"),
        ("", "0 hex digits, right are exactly 16"),
        ("0x", "0 hex digits, right are exactly 16"),
        ("02A4C138F00D001G", "right are hex digits"),
        ("02A4_C138_F00D_0011", "right are hex digits"),
        ("０２A4C138F00D0011", "right are hex digits"),
        ("0000000000000000", "all 0s is not a device"),
        ("ff:ff:ff:ff:ff:ff:ff:ff", "all Fs is not a device"),
    ],
)
def test_what_is_no_address_is_refused_with_what_is_right(text: str, says: str) -> None:
    with pytest.raises(AddressError, match=says):
        parse_eui64(text)


def test_a_refusal_quotes_only_the_start_of_a_long_text() -> None:
    with pytest.raises(AddressError) as refusal:
        parse_eui64("z" * 100_000)

    assert len(str(refusal.value)) < 150


def test_an_address_given_as_a_number_keeps_its_leading_zeros() -> None:
    assert parse_eui64_int(0x02A4C138F00D0011) == "02A4C138F00D0011"


@pytest.mark.parametrize("value", [0, 2**64 - 1, 2**64, -1, True, pytest.param(10**5000, id="5001 digits")])
def test_a_number_that_is_no_address_is_refused(value: int) -> None:
    with pytest.raises(AddressError, match="right is a number above 0"):
        parse_eui64_int(value)


def test_an_address_is_shown_in_groups_of_four() -> None:
    assert show_eui64(ADDRESS) == "02A4 C138 F00D 0011"


def test_reversing_turns_the_order_of_octets_not_of_digits() -> None:
    assert reversed_eui64("02A4C138F00D0011") == "11000DF038C1A402"


@given(st.integers(1, 2**64 - 2))
def test_reversing_twice_gives_the_address_back(value: int) -> None:
    address = parse_eui64_int(value)

    assert reversed_eui64(reversed_eui64(address)) == address


@given(st.integers(1, 2**64 - 2))
def test_a_shown_address_reads_back(value: int) -> None:
    address = parse_eui64_int(value)

    assert parse_eui64(show_eui64(address)) == address


@pytest.mark.parametrize(
    ("address", "local"),
    [
        ("02A4C138F00D0011", True),
        ("00A4C138F00D0011", False),
        ("FEFF000000000001", True),
        ("FD00000000000001", False),
    ],
)
def test_only_the_second_bit_of_the_first_octet_says_locally_administered(address: str, local: bool) -> None:
    assert is_locally_administered(address) is local


@pytest.mark.parametrize(
    "text",
    [
        "02a4c138f00d0011",
        "label says 0x02A4C138F00D0011, I think",
        "radio (02:A4:C1:38:F0:0D:00:11)",
        "EUI 02A4 C138 F00D 0011",
        "0000000000000000 or 02a4.c138.f00d.0011",
    ],
)
def test_a_search_finds_the_address_in_what_was_typed(text: str) -> None:
    assert find_eui64(text) == "02A4C138F00D0011"


@pytest.mark.parametrize(
    "text", ["", "Sæther", "KELP-7", "02A4C138", "x02A4C138F00D0011", "0000000000000000"]
)
def test_a_search_without_an_address_finds_none(text: str) -> None:
    assert find_eui64(text) is None


@given(st.text(alphabet=st.characters() | st.sampled_from("0F:-. x")))
def test_a_search_never_raises_and_finds_only_real_addresses(text: str) -> None:
    found = find_eui64(text)

    assert found is None or parse_eui64(found) == found


@pytest.mark.parametrize(
    ("value", "short"),
    [
        ("0x1A2B", 0x1A2B),
        ("1a2b", 0x1A2B),
        ("0x0", 0),
        (" 0xFFFE ", 0xFFFE),
        (6699, 0x1A2B),
        (0xFFFF, 0xFFFF),
    ],
)
def test_a_short_address_reads_from_hex_text_or_a_number(value: str | int, short: int) -> None:
    assert parse_short(value) == short


@pytest.mark.parametrize("value", ["", "12", "0x", "0x12345", "1A2G", "-1", "0x-1", 65_536, -1, True])
def test_what_is_no_short_address_is_refused(value: str | int) -> None:
    with pytest.raises(AddressError, match="short address"):
        parse_short(value)


def test_a_short_address_is_shown_with_four_digits() -> None:
    assert show_short(0x0A) == "0x000A"


@pytest.mark.parametrize(
    ("short", "node"),
    [
        (0x0000, True),
        (0x0001, True),
        (0xFFF7, True),
        (0xFFF8, False),
        (0xFFFD, False),
        (0xFFFF, False),
        (-1, False),
    ],
)
def test_a_node_never_carries_a_broadcast_address(short: int, node: bool) -> None:
    assert is_node_short(short) is node


@pytest.mark.parametrize(("value", "pan_id"), [("0x0000", 0), ("FFFE", 0xFFFE), (0x1A2B, 0x1A2B)])
def test_a_pan_id_reads_from_0_to_fffe(value: str | int, pan_id: int) -> None:
    assert parse_pan_id(value) == pan_id


@pytest.mark.parametrize("value", ["0xFFFF", 0xFFFF])
def test_the_pan_id_that_means_none_is_refused(value: str | int) -> None:
    with pytest.raises(AddressError, match="right is 0x0000 to 0xFFFE"):
        parse_pan_id(value)


def test_a_refused_pan_id_is_named_as_a_pan_id() -> None:
    with pytest.raises(AddressError, match=r"PAN ID 70000: right is a number from 0 to 65535"):
        parse_pan_id(70_000)


def test_a_pan_id_is_shown_with_four_digits() -> None:
    assert show_pan_id(0x1A2B) == "0x1A2B"


def test_an_extended_pan_id_reads_in_any_notation() -> None:
    assert parse_extended_pan_id("0x02-00-00-00-00-00-ab-cd") == "020000000000ABCD"


@pytest.mark.parametrize(("text", "says"), [("0" * 16, "means unset"), ("f" * 16, "is invalid")])
def test_an_extended_pan_id_that_says_nothing_is_refused(text: str, says: str) -> None:
    with pytest.raises(AddressError, match=says):
        parse_extended_pan_id(text)


def test_an_extended_pan_id_is_shown_in_groups_of_four() -> None:
    assert show_extended_pan_id("020000000000ABCD") == "0200 0000 0000 ABCD"
