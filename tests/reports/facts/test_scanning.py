"""What the code symbol holds: the address that answers, in the form that makes the smallest symbol."""

import re

import pytest
import segno

from reports.facts.scanning import scanned_text

ALPHANUMERIC = re.compile(r"[0-9A-Z $%*+\-./:]+")  # ISO/IEC 18004:2015, table 5
DIGEST = "8F3A11C290AB77D0"


def test_without_an_address_it_holds_code_number_and_digest():
    assert scanned_text("KELP-7/U", "H-000012-0", DIGEST, "") == f"KELP-7/U H-000012-0 {DIGEST}"


@pytest.mark.parametrize("address", ["https://book.example", "https://book.example/", "http://10.0.0.7:8000"])
def test_an_address_without_a_path_is_in_upper_case_throughout(address):
    text = scanned_text("KELP-7/U", "H-000012-0", DIGEST, address)

    assert text == f"{address.rstrip('/').upper()}/PAPER/H-000012-0/{DIGEST}/"
    assert ALPHANUMERIC.fullmatch(text)
    assert segno.make(text, micro=False).version < segno.make(text.lower(), micro=False).version


def test_a_path_of_somebody_elses_keeps_its_case():
    text = scanned_text("KELP-7/U", "H-000012-0", DIGEST, "https://firm.example/Book")

    assert text == f"https://firm.example/Book/paper/H-000012-0/{DIGEST}/"
