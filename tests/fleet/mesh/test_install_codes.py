import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.mesh.install_codes import (
    InstallCodeError,
    aes_mmo,
    check_octets,
    link_key_of,
    parse_install_code,
    show_install_code,
)

SAMPLE = "83FED3407A939723A5C639B26916D505C3B5"
"""The Zigbee specification's own sample, with its check."""


@pytest.mark.parametrize(
    "text",
    [
        "83FED3407A939723A5C639B26916D505C3B5",
        "83fed3407a939723a5c639b26916d505c3b5",
        "83FE D340 7A93 9723 A5C6 39B2 6916 D505 C3B5",
        "83:FE:D3:40:7A:93:97:23:A5:C6:39:B2:69:16:D5:05:C3:B5",
        "83FE-D340-7A93-9723-A5C6-39B2-6916-D505.C3B5",
        " 83FED3407A939723\nA5C639B26916D505 C3B5 ",
        "83FE_D340/7A93,9723;A5C6|39B2–6916\u00a0D505\u200bC3B5",
        "0x83FE 0xD340 0x7A93 0x9723 0xA5C6 0x39B2 0x6916 0xD505 0xC3B5",
        "８３ＦＥ Ｄ３４０ 7A93 9723 A5C6 39B2 6916 D505 C3B5",
    ],
)
def test_a_code_reads_with_any_separators(text: str) -> None:
    assert parse_install_code(text) == bytes.fromhex("83FED3407A939723A5C639B26916D505")


@pytest.mark.parametrize("letters", [("0", "O"), ("0", "o"), ("1", "I"), ("1", "l"), ("5", "S")])
def test_letters_that_no_code_holds_are_read_as_the_digits_they_look_like(letters: tuple[str, str]) -> None:
    assert parse_install_code(SAMPLE.replace(*letters)) == bytes.fromhex(SAMPLE[:-4])


def test_a_letter_read_as_a_digit_must_still_fit_the_check() -> None:
    with pytest.raises(InstallCodeError, match="group 2 of 9"):
        parse_install_code("83FE O340 7A93 9723 A5C6 39B2 6916 D505 C3B5")


@pytest.mark.parametrize(
    ("text", "octets", "link_key"),
    [
        ("83FED3407A932B70", 6, "CD4FA064773F46941EC986C09963D1A8"),
        ("83FED3407A93972397FC", 8, "850BE0BF5B369AC441280A53265DB167"),
        ("83FED3407A939723A5C639B2AD8B", 12, "C2B323EFC9FCA1D9657E32A0E5C2AAF3"),
    ],
)
def test_shorter_codes_read_and_derive_their_keys(text: str, octets: int, link_key: str) -> None:
    code = parse_install_code(text)

    assert (len(code), link_key_of(code)) == (octets, bytes.fromhex(link_key))


@pytest.mark.parametrize("place", range(36))
def test_every_change_of_one_digit_is_refused_and_its_group_named(place: int) -> None:
    for change in range(1, 16):
        digit = f"{int(SAMPLE[place], 16) ^ change:X}"
        wrong = SAMPLE[:place] + digit + SAMPLE[place + 1 :]

        with pytest.raises(
            InstallCodeError, match=rf"it is in group {place // 4 + 1} of 9 \(groups of four\)"
        ):
            parse_install_code(wrong)


def test_two_wrong_digits_ask_for_all_groups_again() -> None:
    with pytest.raises(InstallCodeError, match="read all groups again"):
        parse_install_code("83FED3407A939723A5C639B26916D50" + "6" + "C3B6")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", r"0 digits; right are 16, 20, 28 or 36"),
        ("8", r"1 digit; right are 16, 20, 28 or 36"),
        (SAMPLE[:-1], r"35 digits; right are 16, 20, 28 or 36 .* is missing, it is in group 9 of 9"),
        (SAMPLE[:9] + SAMPLE[10:], r"35 digits; .* a single digit is missing, it is in group 3 of 9"),
        (SAMPLE + "0", r"37 digits; .* a single digit is too many, it is in group 10 of 10"),
        (SAMPLE[:-4], r"32 digits; .* perhaps the check digits are missing"),
        (
            "83FE D340 7A9 9723 A5C6 39B2 6916 D505 C3B5",
            r"35 digits; .* part 3 has 3 digits, the others have 4",
        ),
        ("83:FE:D3:4:7A:93:97:23:A5:C6:39:B2:69:16:D5:05:C3:B5", r"part 4 has 1 digit, the others have 2"),
        ("83FE D340 7A9G 9723 A5C6 39B2 6916 D505 C3B5", r"other than the hex digits .* in group 3 of 9"),
        ("83FE D340 7A9G 9723 Ü5C6 39B2 6916 D505 C3B5", r"other than the hex digits .* in groups 3, 5 of 9"),
    ],
)
def test_a_code_of_wrong_shape_is_refused_by_length_and_group(text: str, says: str) -> None:
    with pytest.raises(InstallCodeError, match=says):
        parse_install_code(text)


@pytest.mark.parametrize(
    "text",
    [
        SAMPLE[:-1],
        SAMPLE[:-1] + "6",
        SAMPLE[:-1] + "G",
        "93FED3407A939723A5C639B26916D505C3B5",
        "83FE D340 7A9 9723 A5C6 39B2 6916 D505 C3B5",
        "83EF D340 7A93 9723 A5C6 39B2 6916 D505 C3B5",
        "B3FE D340 7A93 9723 A5C6 39B2 6916 D505 C3B5",
        SAMPLE[:9] + SAMPLE[10:],
    ],
)
def test_no_refusal_repeats_a_part_of_the_code(text: str) -> None:
    with pytest.raises(InstallCodeError) as refusal:
        parse_install_code(text)

    said = repr(refusal.value).upper()
    assert not [part for part in re.findall(r"(?=([0-9A-F]{3}))", SAMPLE) if part in said]


def test_a_refusal_carries_no_other_error_that_could_repeat_it() -> None:
    with pytest.raises(InstallCodeError) as refusal:
        parse_install_code("zz" + SAMPLE[2:])

    assert (refusal.value.__cause__, refusal.value.__context__) == (None, None)


@pytest.mark.parametrize("octets", [0, 5, 7, 15, 17, 18])
def test_no_key_is_derived_from_a_code_of_another_length(octets: int) -> None:
    with pytest.raises(InstallCodeError, match="right are 6, 8, 12 or 16"):
        link_key_of(bytes(octets))


@given(st.sampled_from([6, 8, 12, 16]).flatmap(lambda size: st.binary(min_size=size, max_size=size)))
def test_a_code_printed_with_its_check_reads_back(code: bytes) -> None:
    assert parse_install_code((code + check_octets(code)).hex()) == code


@given(st.sampled_from([6, 8, 12, 16]).flatmap(lambda size: st.binary(min_size=size, max_size=size)))
def test_a_code_is_shown_in_fours_as_it_is_typed(code: bytes) -> None:
    shown = show_install_code(code)

    assert {len(group) for group in shown.split()} == {4}
    assert parse_install_code(shown) == code


def test_a_text_of_any_length_is_refused_in_no_time() -> None:
    with pytest.raises(InstallCodeError, match="1000000 digits"):
        parse_install_code("A" * 1_000_000)


def test_messages_that_differ_only_in_trailing_zeros_hash_apart() -> None:
    assert len({aes_mmo(bytes(octets)) for octets in range(40)}) == 40
