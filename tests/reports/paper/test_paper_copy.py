"""A paper copy: made, torn, misread, and opened again by a file that needs nothing of this program."""

import random
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reports.paper import making, opening
from reports.paper.edits import edits_between
from reports.paper.making import Contents, codes_of, lines_of
from reports.paper.opening import PaperError, open_paper

PASSPHRASE = "3TQ9M-K2W8R-B7XNC"
DOCUMENT = (
    b'{"counter": 1463120, "hex": "001653", "nodes": "'
    + random.Random(7).randbytes(2400).hex().encode()
    + b'"}'
)


def contents(**changed) -> Contents:
    given = {
        "document": DOCUMENT,
        "mesh": "KELP-7-A",
        "taken_at": "2027-03-25T02:00:00+00:00",
        "was": 1_463_120,
        "counter": 17_080_656,
        "per_day": 518_400,
        "as_of": date(2027, 3, 26),
        "edits": ((12, 19, "d"),),
        "layout": "",
    }
    return Contents(**{**given, **changed})


@pytest.fixture(scope="module")
def whole() -> bytes:
    return making.seal(contents(), PASSPHRASE, bytes(range(16)), bytes(range(12)))


def test_the_codes_give_the_document_back_in_any_order(whole):
    codes = list(codes_of(whole))
    random.Random(1).shuffle(codes)

    assert open_paper(codes, PASSPHRASE).document == DOCUMENT


def test_any_one_code_may_be_torn_off(whole):
    codes = codes_of(whole)

    for lost in range(len(codes)):
        rest = [code for at, code in enumerate(codes) if at != lost]
        assert open_paper(rest, PASSPHRASE).document == DOCUMENT


def test_a_damaged_code_counts_as_lost(whole):
    codes = list(codes_of(whole))
    codes[1] = codes[1][:-3] + ("000" if codes[1][-3:] != "000" else "001")

    assert open_paper(codes, PASSPHRASE).document == DOCUMENT


def test_two_lost_codes_are_named(whole):
    with pytest.raises(PaperError, match=r"codes 01, 03 of 6 are missing"):
        open_paper(
            [code for code in codes_of(whole) if "/01/" not in code and "/03/" not in code], PASSPHRASE
        )


def test_codes_of_two_papers_are_not_mixed(whole):
    other = making.seal(contents(mesh="SALT-9-A"), PASSPHRASE, bytes(16), bytes(12))

    with pytest.raises(PaperError, match="codes of 2 papers"):
        open_paper([*codes_of(whole), codes_of(other)[0]], PASSPHRASE)


def test_typed_lines_give_it_back_whatever_the_hand(whole):
    typed = "\n".join(lines_of(whole)).lower().replace("0", "o").replace("1", "l")

    assert open_paper([typed], PASSPHRASE.lower().replace("-", " ")).document == DOCUMENT


def test_the_line_with_a_typing_error_is_named(whole):
    lines = list(lines_of(whole))
    lines[6] = lines[6].replace(lines[6][4], "Z" if lines[6][4] != "Z" else "Y", 1)

    with pytest.raises(PaperError, match="lines 7 are wrong or missing"):
        open_paper(["\n".join(lines)], PASSPHRASE)


def test_another_passphrase_opens_nothing(whole):
    with pytest.raises(PaperError, match="passphrase is another one"):
        open_paper(list(codes_of(whole)), "something else")


@settings(max_examples=300)
@given(st.text(max_size=400) | st.text("SB1/0123456789ABCDEFGHJKPP \n:", max_size=400))
def test_no_text_makes_a_traceback(text):
    with pytest.raises(PaperError):
        open_paper([text], "x")


@given(st.binary(min_size=1, max_size=900), st.integers(20, 200))
def test_whole_and_parts_are_the_same(octets, size):
    if -(-len(octets) // size) > 99:
        return
    whole = len(octets).to_bytes(4, "big") + octets
    codes = [opening.CODE.fullmatch(code) for code in codes_of(whole, size)]

    assert opening.join_codes(codes)[: len(whole)] == whole
    assert opening.join_lines("\n".join(lines_of(whole)))[: len(whole)] == whole


def test_the_number_rises_with_the_days_and_the_attempts(whole):
    opened = open_paper(list(codes_of(whole)), PASSPHRASE)

    assert opened.number_on(date(2027, 3, 26)) == 17_080_656 + 518_400
    assert opened.number_on(date(2027, 3, 28)) == 17_080_656 + 3 * 518_400
    assert opened.number_on(date(2027, 3, 28), attempt=2) == 17_080_656 + 4 * 518_400
    # A clock that stands in the past lowers nothing.
    assert opened.number_on(date(2001, 1, 1)) == 17_080_656 + 518_400


def test_only_the_counter_changes(whole):
    opened = open_paper(list(codes_of(whole)), PASSPHRASE)

    assert opened.advanced(17_080_656) == DOCUMENT.replace(b"1463120", b"17080656")


def test_a_number_past_the_end_is_refused():
    far = making.seal(contents(counter=0xFFFF_FF00), PASSPHRASE, bytes(16), bytes(12))

    with pytest.raises(PaperError, match="change the network key"):
        open_paper(list(codes_of(far)), PASSPHRASE).number_on(date(2027, 3, 28))


def test_the_opening_file_needs_nothing_of_this_program(whole, tmp_path):
    alone = tmp_path / "opening.py"
    alone.write_bytes(Path(opening.__file__).read_bytes())
    (tmp_path / "read.txt").write_text("\n".join(codes_of(whole)))
    out = tmp_path / "document.json"

    done = subprocess.run(
        [sys.executable, "-I", alone, tmp_path / "read.txt", "--out", out, "--on", "2027-03-26"],
        cwd=tmp_path,
        env={"PAPER_PASSPHRASE": PASSPHRASE},
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stderr
    assert out.read_bytes() == DOCUMENT.replace(b"1463120", b"17599056")
    assert out.stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    ("token", "form", "rise", "written"),
    [
        (b"1463120", "d", 15_617_536, b"17080656"),
        (b"00165350", "X", 15_617_536, b"0104A150"),
        (b"0001463120", "d", 15_617_536, b"0017080656"),
    ],
)
def test_digits_keep_their_width_and_case(token, form, rise, written):
    assert opening.risen(token, form, rise) == written


def test_a_number_too_wide_for_its_place_is_refused():
    with pytest.raises(PaperError, match="does not fit"):
        opening.risen(b"0FFF", "X", 0xFFFF)


def test_counters_are_found_where_the_documents_differ():
    document = b'{"a": 1463120, "b": "0x00165350", "c": 7}'
    written = document.replace(b"1463120", b"17080656").replace(b"00165350", b"0104A150")

    assert edits_between(document, written, 15_617_536) == ((6, 13, "d"), (23, 31, "X"))


def test_a_counter_in_another_form_is_left_to_people():
    assert edits_between(b'{"a": [0, 22]}', b'{"a": [1, 22]}', 256) == ()
