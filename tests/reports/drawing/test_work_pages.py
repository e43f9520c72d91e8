"""Job sheets, drill records and erasure certificates as paper: what they say, octets, no secrets.

Margins, collisions and lonely heads are for test_contact_sheet, which looks at every kind.
"""

import re
from dataclasses import replace
from functools import cache

import pytest
import zxingcpp
from pypdfium2 import PdfDocument

from fleet.planning.replacing.preflight import Item, Met
from reports.drawing import drill, erasure, job
from reports.drawing.preflight_words import ITEMS, STANDINGS
from reports.drawing.sheet import Paper
from reports.facts.job import Way, WayBack
from tests.documents import key
from tests.reports import samples
from tests.reports import samples_of_work as work
from tests.reports.reading import pages, squeezed, text_of

DRAWN = {"job": job.draw, "drill": drill.draw, "erasure": erasure.draw}
NASTY = {f"nasty {at}": name for at, name in enumerate(samples.NASTY_NAMES)}
FACTS = {
    "job": {
        "full": work.kelp_job,
        "bare": work.bare_job,
        "0 devices": lambda: work.job_with(0),
        "250 devices": lambda: work.job_with(250),
        **{label: lambda name=name: work.nasty_job(name) for label, name in NASTY.items()},
    },
    "drill": {
        "full": work.kelp_drill,
        "bare": work.bare_drill,
        "1 trial": lambda: work.drill_with(1),
        "500 trials": lambda: work.drill_with(500),
        **{label: lambda name=name: work.nasty_drill(name) for label, name in NASTY.items()},
    },
    "erasure": {
        "full": lambda: work.erasure_with(130),
        "bare": work.bare_erasure,
        "400 copies": lambda: work.erasure_with(400),
        **{label: lambda name=name: work.nasty_erasure(name) for label, name in NASTY.items()},
    },
}
CASES = [(kind, name, paper) for kind, found in FACTS.items() for name in found for paper in Paper]
every_paper = pytest.mark.parametrize(
    ("kind", "name", "paper"), CASES, ids=[f"{kind}, {name}, {paper}" for kind, name, paper in CASES]
)


@cache
def drawn(kind: str, name: str, paper: Paper) -> bytes:
    return DRAWN[kind](FACTS[kind][name](), paper)


@every_paper
def test_every_page_says_which_of_how_many_it_is_and_carries_the_digest(kind, name, paper):
    texts = [page.extract_text() for page in pages(drawn(kind, name, paper))]
    found = [re.findall(r"page (\d+) of (\d+)", text) for text in texts]
    assert found == [[(str(number), str(len(texts)))] for number in range(1, len(texts) + 1)]
    assert all(re.search(r"digest( [0-9A-F]{4}){4}", text) for text in texts)


@pytest.mark.parametrize("kind", FACTS)
def test_equal_facts_give_equal_octets(kind):
    facts = FACTS[kind]["full"]
    assert DRAWN[kind](facts(), Paper.A4) == DRAWN[kind](facts(), Paper.A4)


@pytest.mark.parametrize("paper", Paper)
def test_the_drill_record_is_one_page_and_the_certificate_one_without_its_digests(paper):
    assert len(pages(drawn("drill", "full", paper))) == 1
    assert len(pages(erasure.draw(replace(work.erasure_with(0), copies=()), paper))) == 1


@pytest.mark.parametrize("paper", Paper)
def test_a_long_list_of_digests_repeats_its_head_and_its_mesh(paper):
    texts = [page.extract_text() for page in pages(drawn("erasure", "400 copies", paper))]
    going_on = [text for text in texts[2:-1] if "2026" in text]
    assert len(going_on) > 4
    assert all("SHA-256" in text for text in going_on)
    assert any("CEDAR-8-A, continued" in text for text in going_on)


@pytest.mark.parametrize("paper", Paper)
def test_every_digest_of_400_copies_stands_there_whole(paper):
    printed = text_of(drawn("erasure", "400 copies", paper))
    assert [each.sha256 for each in work.copies(400) if each.sha256.upper() not in printed] == []


@pytest.mark.parametrize(
    "said",
    [
        "B1-0103 (Birch B1) takes over from A2-0101.",
        "Fit: partly; no way back, 59 days deaf; 4 checks are not met.",
        "CAUTIONS, BEFORE ANYBODY TOUCHES A RADIO",
        "02A4 C138 F00D 0103",
        "The spare was written to after it was proven blank on 24 March 2027. Wipe it, read it out,",
        "Trying this first takes less time from a chance of 18.5 % on.",
        "at least 74.1 % pass (95 %, one-sided)",
        "3 devices must be joined by hand",
        "Winch lock (Boathouse)",
        "Can it be backed out? NO: no way back, 59 days deaf",
        "POINT OF NO RETURN",
        "This paper gives no number out.",
        "Log, on the clock of Europe/Oslo",
        "1 h 9 min",
        "Second person",
    ],
)
def test_the_job_sheet_says(said):
    assert squeezed(said) in text_of(drawn("job", "full", Paper.A4))


@pytest.mark.parametrize(
    ("way", "said"),
    [
        (WayBack(Way.READY), "Canitbebackedout?YES:theoldradiostandsabove"),
        (WayBack(Way.WRITE), "YES:theoldradiotakesanumberofitsown,higherthananywritten(workedoutanew)"),
        (WayBack(Way.WRITE, failed=True), "YES:onlyifitstilltakespower:theoldradiotakesanumberofitsown"),
        (WayBack(Way.OUT_OF_REACH), "Canitbebackedout?NO:theoldradioisoutofreach,lostorstolen"),
        (WayBack(Way.OUT_OF_REACH), "nowayback,theoldradioisoutofreach;"),
        (WayBack(Way.NO_POWER), "Canitbebackedout?NO:theoldradiotakesnopoweranymore"),
        (WayBack(Way.UNKNOWN), "Canitbebackedout?NOTJUDGED"),
        (WayBack(Way.DEAF), "nowayback,deaffornobodyknowshowlong"),
    ],
)
def test_the_way_back_is_said_before_the_steps_are_taken(way, said):
    assert said in text_of(job.draw(replace(work.kelp_job(), way_back=way), Paper.A4))


def test_every_item_and_every_standing_has_its_words():
    assert (set(ITEMS), set(STANDINGS)) == (set(Item), set(Met))


@pytest.mark.parametrize(
    "said",
    [
        "passed in 38 min, Wednesday, 24 March 2027.",
        "Only a live swap proves that: nothing was on air here.",
        "22 drills, none failed. Of homes drawn at random at most 12.7 % would fail",
        "yes: the radio still has the build of the drill",
        "proven 25 March 2027 by Kwabena Ruud",
        "up to 17,080,656, by the ledger",
        "Agreed every 182 days; due by 22 September 2027.",
    ],
)
def test_the_drill_record_says(said):
    assert squeezed(said) in text_of(drawn("drill", "full", Paper.A4))


@pytest.mark.parametrize(
    "said",
    [
        "130 snapshots",
        "Tomasz Ibe",
        "26 March 2027, 08:12 (Europe/Oslo, UTC+01:00)",
        "counts as Purge only as far as its section on cryptographic erase",
        "the key ring was renewed on 2 April 2027",
        "What you can do",
        "Digests of 130 snapshots erased",
    ],
)
def test_the_certificate_says(said):
    assert squeezed(said) in text_of(drawn("erasure", "full", Paper.A4))


@pytest.mark.parametrize("kind", FACTS)
def test_of_50_known_keys_none_is_in_the_text_or_the_code_symbol(kind):
    octets = drawn(kind, "full", Paper.A4)
    page = PdfDocument(octets)[0].render(scale=4).to_pil()
    symbols = [each.text for each in zxingcpp.read_barcodes(page)]
    assert len(symbols) == 1
    said = text_of(octets).lower() + symbols[0].lower()
    keys = [key(f"known {at}") for at in range(50)]
    assert [at for at, each in enumerate(keys) if each in octets or each.hex() in said] == []
