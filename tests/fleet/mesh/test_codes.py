import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.mesh.codes import (
    CodeError,
    SheetNumber,
    check_character,
    is_mesh_code,
    is_site_code,
    read_code,
    read_sheet_number,
    sheet_number,
    site_code_of,
    with_check,
)

SITE_CODES = st.from_regex(r"[A-Z]{2,10}-[0-9]{1,4}", fullmatch=True)
MESH_CODES = st.from_regex(r"[A-Z]{2,10}-[0-9]{1,4}-[A-Z]", fullmatch=True)
CHARACTERS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def test_the_check_character_agrees_with_a_hand_calculation() -> None:
    # KELP7A, from P = 36: add, modulo 36 (0 as 36), double, modulo 37
    # K 20: 3; E 14: 34; L 21: 1; P 25: 15; 7: 7; A 10: 34; 34 + 3 = 37 is 1 modulo 36
    assert check_character("KELP7A") == "3"


@pytest.mark.parametrize("text", ["KELP-7-A", "kelp-7-a", "kelp 7 a", "KELP7A"])
def test_only_letters_and_digits_count_for_the_check(text: str) -> None:
    assert check_character(text) == "3"


@pytest.mark.parametrize("text", ["", "---", "κ7", "straße"])
def test_a_text_of_other_characters_has_no_check(text: str) -> None:
    with pytest.raises(CodeError, match="right are letters A to Z and digits"):
        check_character(text)


def test_a_code_on_paper_ends_in_a_slash_and_its_check() -> None:
    assert with_check("KELP-7-A") == "KELP-7-A/3"


@pytest.mark.parametrize(
    "text",
    [
        "KELP-7-A",
        "KELP-7-A/3",
        "kelp-7-a/3",
        " kelp 7 a ",
        "KELP7A",
        "kelp 7-a / 3",
        "KELP - 7 - A",
        "KELP\u00a07\u2011A",
    ],
)
def test_a_mesh_code_reads_as_people_type_it(text: str) -> None:
    assert read_code(text) == "KELP-7-A"


@pytest.mark.parametrize("text", ["KELP-7", "kelp7", "kelp 7/u", "KELP-7/U"])
def test_a_home_code_reads_as_people_type_it(text: str) -> None:
    assert read_code(text) == "KELP-7"


@pytest.mark.parametrize("text", ["KELP-7-A/4", "kelp 7 a/q", "KELP-7-A/", "KELP-7-A/33"])
def test_a_wrong_check_character_is_refused_and_the_right_one_named(text: str) -> None:
    with pytest.raises(CodeError, match="the check character of KELP-7-A is 3"):
        read_code(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "/",
        "7",
        "K-7",
        "KELPKELPKELP-7",
        "KELP-12345",
        "KELP-7-AB",
        "KELP-7-1",
        "КELP-7",
        "KELP-٧",
        "KE LP-7",
    ],
)
def test_what_is_no_code_is_refused_with_an_example(text: str) -> None:
    with pytest.raises(CodeError, match="KELP-7-A"):
        read_code(text)


@given(MESH_CODES | SITE_CODES)
def test_a_code_on_paper_reads_back(code: str) -> None:
    assert read_code(with_check(code).lower()) == code


@given(MESH_CODES, st.data())
def test_every_single_wrong_character_is_noticed(code: str, data: st.DataObject) -> None:
    plain = code.replace("-", "")
    place = data.draw(st.integers(0, len(plain) - 1))
    other = data.draw(st.sampled_from(CHARACTERS.replace(plain[place], "")))

    assert check_character(plain[:place] + other + plain[place + 1 :]) != check_character(plain)


@pytest.mark.parametrize(
    ("text", "site", "mesh"),
    [
        ("KELP-7", True, False),
        ("KELP-7-A", False, True),
        ("kelp-7", False, False),
        ("KELP-7\n", False, False),
        ("KELP-7/U", False, False),
        ("K-7", False, False),
        ("BENCH-0", True, False),
    ],
)
def test_a_code_is_valid_in_one_form_only(text: str, site: bool, mesh: bool) -> None:
    assert (is_site_code(text), is_mesh_code(text)) == (site, mesh)


def test_a_mesh_code_begins_with_the_code_of_its_home() -> None:
    assert site_code_of("FERN-2-C") == "FERN-2"


def test_a_home_code_is_not_taken_for_a_mesh_code() -> None:
    with pytest.raises(CodeError, match="right is a home's code and a letter"):
        site_code_of("FERN-2")


def test_a_sheet_number_has_six_digits_and_a_check() -> None:
    # H000012 by hand: H 17: 34; 0: 31; 0: 25; 0: 13; 0: 26; 1: 17; 2: 1; 1 + 0 is 1 modulo 36
    assert sheet_number("H", 12) == "H-000012-0"


@pytest.mark.parametrize(
    ("kind", "serial"), [("H", 0), ("H", 1_000_000), ("H", -1), ("h", 1), ("", 1), ("HH", 1)]
)
def test_a_sheet_number_outside_its_range_is_refused(kind: str, serial: int) -> None:
    with pytest.raises(CodeError, match="right is"):
        sheet_number(kind, serial)


@pytest.mark.parametrize("text", ["H-000012-0", "h-000012-0", "h 000012 0", "H0000120", " H-000012-0 "])
def test_a_sheet_number_reads_as_people_type_it(text: str) -> None:
    assert read_sheet_number(text) == SheetNumber(kind="H", serial=12)


def test_a_sheet_number_with_a_wrong_check_is_refused_and_the_right_one_named() -> None:
    with pytest.raises(CodeError, match="the check character is 0"):
        read_sheet_number("H-000012-K")


@pytest.mark.parametrize("text", ["", "H-000012", "H-12-0", "H-0000012-0", "1-000012-0", "H-000000-1"])
def test_what_is_no_sheet_number_is_refused(text: str) -> None:
    with pytest.raises(CodeError, match="right is"):
        read_sheet_number(text)


@given(st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ"), st.integers(1, 999_999))
def test_a_sheet_number_reads_back(kind: str, serial: int) -> None:
    assert read_sheet_number(sheet_number(kind, serial)) == (kind, serial)
