"""Months of the book and evidence packs on paper: equal octets, what they say.

Margins, collisions and lonely heads are for test_contact_sheet, which looks at every kind.
"""

import re
from dataclasses import replace
from functools import cache

import pytest

from reports.drawing import digest, evidence
from reports.drawing.sheet import Paper
from reports.facts.fingerprint import digest as fingerprint_digest
from reports.facts.fingerprint import short_form
from tests.reports import samples_of_book as samples
from tests.reports.drawing.test_symbols import symbols
from tests.reports.reading import pages, squeezed, text_of
from tests.reports.samples import NASTY_NAMES

PAPERS = {
    "month": lambda: (digest, samples.digest()),
    "month of an empty book": lambda: (digest, samples.empty_digest()),
    "pack": lambda: (evidence, samples.evidence()),
    "pack of a home with nothing": lambda: (evidence, samples.bare_evidence()),
    "pack of a home without a mesh": lambda: (evidence, samples.meshless_evidence()),
    **{
        f"month, nasty {at}": lambda name=name: (digest, samples.crowded_digest(name, homes=4))
        for at, name in enumerate(NASTY_NAMES)
    },
    **{
        f"pack, nasty {at}": lambda name=name: (evidence, samples.crowded_evidence(name, meshes=1, lines=8))
        for at, name in enumerate(NASTY_NAMES)
    },
}
every_paper = pytest.mark.parametrize("paper", Paper)
every_name = pytest.mark.parametrize("name", PAPERS)


@cache
def drawn(name: str, paper: Paper) -> bytes:
    room, facts = PAPERS[name]()
    return room.draw(facts, paper)


@every_paper
@every_name
def test_every_page_carries_number_revision_digest_and_its_place(name, paper):
    texts = [page.extract_text() for page in pages(drawn(name, paper))]
    foot = re.compile(r"[MV]-\d{6}-\w · revision \d.*digest( [0-9A-F]{4}){4}", re.DOTALL)
    assert [bool(foot.search(text)) for text in texts] == [True] * len(texts)
    assert [re.findall(r"page (\d+) of (\d+)", text) for text in texts] == [
        [(str(number), str(len(texts)))] for number in range(1, len(texts) + 1)
    ]


@every_name
def test_equal_facts_give_equal_octets(name):
    room, facts = PAPERS[name]()
    assert room.draw(facts, Paper.A4) == drawn(name, Paper.A4)


@pytest.mark.parametrize(
    "said",
    [
        "At the end of 28 February 2027, 30 of 38 homes were covered. 3 could not be brought back.",
        "30 of 38 homes (78.9 %) (5 with work by hand)",
        "4,180.50 EUR for 8 homes, by today's devices and rate; of 1 more no sum is known",
        "half under 14.5 h, 95 % under 7.1 days (42 meshes); 2 meshes without one",
        "28 of 30; at least 80.5 % would pass (95 %, one-sided); 3 in this month",
        "half within 41 min, 90 % within 1 h 10 min (28 times); 24 of 26 within the promise",
        "5; half within 1 h 35 min, 90 % within 3 h 30 min (4 times); 4 of 4 within the promise",
        "4 of 4 within the promise; 1 backed out or stranded",
        "2 of 39 meshes whose room is known",
        "6 of 38 hand-over sheets in force; 1 out of date",
        "Judged on 26 days of 28",
        "9 in 380 radio-years: 2.4, at most 4.1",
        "6 from 2 November 2026 to 6 November 2026",
        "0 in 12 radio-years: 0, at most 25. Too few years to tell families apart.",
        "5 and 6: TOO FEW",
        "46 of 50",
        "630 began; 1 broke off; 2 met errors at a mesh; 1 wait for the next was over three hours",
        "the longest wait was 2 days",
        "Not nought, but not recorded: ",
        "callbacks within 30 days of a visit",
        "hours not billed",
        "Could not be brought back since 19 February 2027.",
        "It stands otherwise by now: see the board.",
    ],
)
def test_the_month_says(said):
    assert squeezed(said) in text_of(drawn("month", Paper.A4))


@pytest.mark.parametrize(
    "said",
    [
        "26 March 2026 to 25 March 2027",
        "Sound copies were taken on 339 of 365 days. 1 of 2 drills passed.",
        "1 January 2025 to 31 December 2026, notice 30 days before",
        "No copy from 3 August 2026 to 17 August 2026: 15 days, LONGER THAN PROMISED",
        "16 of 31",
        "Key 1: 26 March 2026 to 30 June 2026; key 2: 1 July 2026 to 25 March 2027.",
        "51 min, as promised",
        "Covered: 92 days; covered, with work by hand: 83 days; on thin cover: 139 days",
        "not judged: 36 days",
        "accepted and closed, 17 August 2026, 21:20",
        "3 h 15 min, as promised",
        "STRANDED",
        "Builds that drills noted: 6.9 on 2 October 2026.",
        "KELP-7-A/3: No live swap was rehearsed.",
        "The last of these lines is at place 10,412",
        "Ingunn Sæther (client), 4 November 2026",
        "no signature in the book",
        "snapshot taken in, 24 times that day",
    ],
)
def test_the_pack_says(said):
    assert squeezed(said) in text_of(drawn("pack", Paper.A4))


def test_digests_are_printed_whole():
    facts = samples.evidence()
    printed = text_of(drawn("pack", Paper.A4))
    assert facts.annex.sha256 in printed
    assert facts.annex.chain.digest in printed
    assert all(paper.sha256 in printed for paper in facts.papers)


def test_of_few_homes_no_per_cent_is_said():
    facts = samples.digest()
    few = replace(
        facts.now, standing=replace(facts.now.standing, covered=1, by_hand=0, bare=0, thin=0, unknown=0)
    )
    assert "(100%)" not in text_of(digest.draw(replace(facts, now=few), Paper.A4))


@pytest.mark.parametrize("name", ["month of an empty book", "pack of a home with nothing"])
def test_of_nothing_no_share_is_made_up(name):
    printed = text_of(drawn(name, Paper.A4))
    assert ("nan" in printed.lower(), "100%" in printed) == (False, False)


def test_markup_prints_as_it_was_typed():
    assert squeezed(NASTY_NAMES[1]) in text_of(drawn("pack, nasty 1", Paper.A4))
    assert squeezed(NASTY_NAMES[1]) in text_of(drawn("month, nasty 1", Paper.A4))


def test_a_full_month_has_two_pages():
    assert len(pages(drawn("month", Paper.A4))) == 2


@pytest.mark.parametrize(("name", "code"), [("month", "2027-02 M-000002-5"), ("pack", "KELP-7/U V-000001-3")])
def test_the_code_symbol_holds_code_number_and_digest_and_nothing_else(name, code):
    facts = PAPERS[name]()[1]
    short = short_form(fingerprint_digest(facts)).replace(" ", "")
    assert symbols(drawn(name, Paper.A4)) == [f"{code} {short}"]
