"""The code symbol, read back from the printed page by an independent decoder."""

import re

import pytest
import zxingcpp

from reports.drawing.sheet import Paper
from reports.facts.fingerprint import digest, short_form
from tests.reports import samples
from tests.reports.reading import HANDOVERS, RECOVERIES, drawn, plumbed

FACTS = {"hand-over": HANDOVERS, "recovery": RECOVERIES}


def symbols(octets: bytes, dpi: int = 150, turned: int = 0) -> list[str]:
    with plumbed(octets) as file:
        image = file.pages[0].to_image(resolution=dpi).original
    return [
        found.text for found in zxingcpp.read_barcodes(image.rotate(turned, expand=True, fillcolor="white"))
    ]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize(
    ("kind", "code"), [("hand-over", "KELP-7/U H-000012-0"), ("recovery", "KELP-7-A/3 R-000013-C")]
)
def test_the_symbol_holds_code_number_and_digest(kind, code, paper):
    facts = FACTS[kind]["model home"]()
    short = short_form(digest(facts)).replace(" ", "")
    assert symbols(drawn(kind, "model home", paper)) == [f"{code} {short}"]


@pytest.mark.parametrize("turned", [90, 7, 180])
def test_the_symbol_is_read_on_a_turned_page(turned):
    assert symbols(drawn("hand-over", "model home", Paper.A4), turned=turned)[0].startswith("KELP-7/U")


def test_the_symbol_holds_nothing_else():
    (text,) = symbols(drawn("hand-over", "model home", Paper.A4))
    assert re.fullmatch(r"KELP-7/U H-000012-0 [0-9A-F]{16}", text)


def test_the_digest_in_the_symbol_is_the_digest_at_the_foot():
    (text,) = symbols(drawn("recovery", "model home", Paper.A4))
    with plumbed(drawn("recovery", "model home", Paper.A4)) as file:
        foot = file.pages[0].extract_text().splitlines()[-1]
    assert short_form(text.split()[-1]) in foot


def test_no_name_of_the_client_is_in_the_symbol():
    (text,) = symbols(drawn("hand-over", "model home", Paper.A4))
    assert not set(samples.KELP.client_name.split()) & set(text.split())
