"""Sheets in all their languages: nothing left in English, heads that read back, directions, and breaks of lines."""

import re

import pytest
from babel.messages.pofile import read_po

from reports.drawing import bidi, handover, language, recovery
from reports.drawing import type as setting
from reports.drawing.language import LANGUAGES, _, speaking
from reports.drawing.looks import BOOK
from reports.drawing.sheet import Paper
from reports.drawing.type import set_lines
from tests.reports import contact, samples
from tests.reports.masking import never_looked_up, speak_masked, typed, words_of
from tests.reports.reading import pages, plumbed, squeezed

FOREIGN = [tag for tag in LANGUAGES if tag != "en"]
RECIPE_IS_ENGLISH = "paper copy"
HEADS = {
    handover: (
        "Hand-over sheet",
        "What was installed",
        "Safety items",
        "Care agreement",
        "Batteries, copies, complaints",
    ),
    recovery: ("Recovery sheet", "The two radios", "Snapshot to use", "Number to write", "This sheet"),
}


@pytest.mark.parametrize("sample", ["full", "bare"])
@pytest.mark.parametrize("kind", [kind for kind in contact.FACTS if kind != RECIPE_IS_ENGLISH])
def test_no_word_of_ours_is_on_paper_that_was_not_looked_up(kind, sample, monkeypatch):
    speak_masked(monkeypatch)
    facts = contact.FACTS[kind].get(sample, contact.FACTS[kind]["full"])()

    printed = "\n".join(page.extract_text() for page in pages(contact.DRAWN[kind](facts, Paper.A4)))

    assert never_looked_up(printed, words_of(typed(facts))) == set()
    assert len(re.findall("[α-ω]", printed)) > 100


@pytest.mark.parametrize("tag", [tag for tag in LANGUAGES if tag != "ar"])
@pytest.mark.parametrize("drawing", HEADS, ids=lambda drawing: drawing.TITLE)
def test_the_heads_are_read_back_in_their_language(drawing, tag):
    kind = "hand-over" if drawing is handover else "recovery"
    with speaking(tag):
        heads = [squeezed(bidi.bare(_(head))) for head in HEADS[drawing]]
    with plumbed(contact.paper_of(kind, "full", tag, Paper.A4)) as file:
        printed = squeezed("".join(page.extract_text() for page in file.pages))

    assert [head for head in heads if head not in printed] == []
    assert tag == "en" or not set(heads) & {squeezed(head) for head in HEADS[drawing]}


@pytest.mark.parametrize("drawing", HEADS, ids=lambda drawing: drawing.TITLE)
def test_the_arabic_heads_are_read_back_by_a_reader_that_knows_directions(drawing):
    kind = "hand-over" if drawing is handover else "recovery"
    with speaking("ar"):
        wanted = {word for head in HEADS[drawing] for word in bidi.bare(_(head)).split()}

    sheet = pages(contact.paper_of(kind, "full", "ar", Paper.A4))
    assert wanted - set(" ".join(page.extract_text() for page in sheet).split()) == set()


@pytest.mark.parametrize("tag", FOREIGN)
def test_equal_facts_give_equal_octets_whatever_was_spoken_before(tag):
    facts = contact.spoken(samples.kelp_recovery(), tag)
    first = recovery.draw(facts, Paper.A4)
    with speaking("ja" if tag != "ja" else "ar"):
        handover.draw(samples.kelp_handover(), Paper.A4)
        again = recovery.draw(facts, Paper.A4)

    assert first == again
    assert first != recovery.draw(samples.kelp_recovery(), Paper.A4)


@pytest.mark.parametrize("tag", LANGUAGES)
def test_a_recovery_sheet_of_a_usual_home_stays_on_two_pages(tag):
    assert len(pages(contact.paper_of("recovery", "full", tag, Paper.A4))) == 2


def _left_of(tag: str, word: str) -> float:
    """Where the first such word of the first page begins."""
    with plumbed(contact.paper_of("hand-over", "full", tag, Paper.A4)) as file:
        return min(each["x0"] for each in file.pages[0].extract_words() if each["text"] == word)


def test_the_first_column_stands_at_the_right_in_arabic_and_at_the_left_in_german():
    assert _left_of("ar", "Humidity") > _left_of("ar", "cord")
    assert _left_of("de", "Humidity") < _left_of("de", "cord")


def test_a_list_within_an_arabic_sentence_keeps_its_order_from_the_right():
    parts = "".join(bidi.isolate(part) + "؛ " for part in ("أ", "ب")) + bidi.isolate("ج")
    text = f"قائمة: {bidi.isolate(parts)}."
    runs = bidi.visual_runs(bidi.levels(text, rtl=True))
    order = [letter for start, end, _ in runs for letter in text[start:end] if letter in "أبج"]

    assert order == ["ج", "ب", "أ"]


def test_a_number_with_dashes_does_not_turn_round_in_arabic():
    text = f"شهر {bidi.isolate('2027-02')}"
    runs = bidi.visual_runs(bidi.levels(text, rtl=True))
    seen = "".join(text[start:end] for start, end, _ in runs)

    assert "2027-02" in seen


def test_no_japanese_line_begins_with_a_stop_or_a_closing_bracket():
    """JIS X 4051: characters that may not begin a line."""
    with (language.CATALOGUES / "ja/LC_MESSAGES/sheets.po").open("rb") as file:
        told = [message.string for message in read_po(file, locale="ja") if isinstance(message.string, str)]
    texts = [re.sub(r"\{\w*\}", "12", text) for text in told]
    begun = {
        line.pieces[0][0].glyphs[0].text[:1]
        for text in texts
        for width in (110.0, 140.0, 170.0, 260.0)
        for line in set_lines(((text, BOOK.body),), width)[1:]
    }

    assert len(begun) > 100
    assert begun & set("。、）」！？") == set()


def test_a_value_that_ends_with_a_space_is_set_within_an_arabic_sentence():
    with speaking("ar"):
        lines = set_lines(((f"الاسم {language.isolated('Kelp ')}", BOOK.body),), 200.0)

    assert "Kelp" in lines[0].text


@pytest.mark.parametrize("tag", [tag for tag in FOREIGN if tag != "ja"])
def test_no_word_is_so_long_for_its_column_that_it_is_cut_between_letters(tag, monkeypatch):
    """A translation that is too long has a place to hyphenate (a soft hyphen) or is a shorter word."""
    cut = []
    broken = setting._cut
    monkeypatch.setattr(
        setting, "_cut", lambda word, width: [cut.append(word.text), *broken(word, width)][1:]
    )
    for kind in ("hand-over", "recovery", "job", "digest", "evidence"):
        contact.DRAWN[kind](contact.spoken(contact.FACTS[kind]["full"](), tag), Paper.A4)

    assert cut == []
