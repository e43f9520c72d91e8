"""The catalogues of sheets: whole, compiled, the same places for values, and plural forms as CLDR has them."""

import ast
import re
import string
from functools import cache
from io import BytesIO

import pytest
from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po

from reports.drawing import language, words
from reports.drawing.language import LANGUAGES, many, speaking

REPORTS = language.CATALOGUES.parent
ROOMS = [
    *(REPORTS / room for room in ("drawing", "facts", "queries")),
    REPORTS.parent / "fleet/planning/phrases",
]
KEYWORDS = {
    "_": None,
    "later": None,
    "fixed": None,
    "many": (1, 2),
    "later_many": (1, 2),
    "fixed_many": (1, 2),
}
FOREIGN = [tag for tag in LANGUAGES if tag != "en"]


@cache
def catalogue(tag: str) -> Catalog:
    with (language.CATALOGUES / tag / "LC_MESSAGES/sheets.po").open("rb") as file:
        return read_po(file, locale=tag)


def messages(tag: str) -> list[Message]:
    return [message for message in catalogue(tag) if message.id]


def forms(told: str | tuple[str, ...]) -> tuple[str, ...]:
    return (told,) if isinstance(told, str) else tuple(told)


@cache
def in_the_sources() -> frozenset[str | tuple[str, ...]]:
    return frozenset(found[2] for room in ROOMS for found in extract_from_dir(str(room), keywords=KEYWORDS))


def written(path) -> set[str | tuple[str, ...]]:
    """The texts that a file asks for by name, read from its syntax: also those that the extractor cannot see."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in KEYWORDS:
            taken = node.args[: len(KEYWORDS[node.func.id] or (1,))]
            if taken and all(
                isinstance(each, ast.Constant) and isinstance(each.value, str) for each in taken
            ):
                told = tuple(each.value for each in taken)
                found.add(told if len(told) > 1 else told[0])
    return found


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.name)
def test_the_extractor_sees_every_text_that_the_code_asks_for(room):
    """Within the braces of an f-string it sees none."""
    asked = {text for path in room.glob("*.py") for text in written(path)}

    assert asked - in_the_sources() == set()


def places(text: str) -> set[str]:
    return {name for _text, name, _spec, _how in string.Formatter().parse(text) if name is not None}


def test_there_is_a_catalogue_for_each_language_but_english_and_no_other():
    assert sorted(path.name for path in language.CATALOGUES.iterdir()) == sorted(FOREIGN)


@pytest.mark.parametrize("tag", FOREIGN)
def test_a_catalogue_holds_what_the_sources_say_and_nothing_else(tag):
    held = {message.id for message in messages(tag)}

    assert held - in_the_sources() == set()
    assert in_the_sources() - held == set()


@pytest.mark.parametrize("tag", FOREIGN)
def test_nothing_is_left_untranslated_or_marked_as_a_guess(tag):
    wanting = [
        message.id
        for message in messages(tag)
        if message.fuzzy
        or not all(forms(message.string))
        or len(forms(message.string)) != (catalogue(tag).num_plurals if message.pluralizable else 1)
    ]

    assert wanting == []


@pytest.mark.parametrize("tag", FOREIGN)
def test_values_go_where_they_go_in_english(tag):
    wrong = [
        (message.id, told)
        for message in messages(tag)
        for told in forms(message.string)
        if places(told) != places(forms(message.id)[-1])
    ]

    assert wrong == []


@pytest.mark.parametrize("tag", FOREIGN)
def test_sentences_are_not_left_in_english(tag):
    same = {
        re.sub(r"\{\w*\}", "", message.id)
        for message in messages(tag)
        if isinstance(message.id, str) and message.string == message.id
    }

    assert {text for text in same if len(re.findall("[a-z]+", text)) > 2} == set()


@pytest.mark.parametrize("tag", FOREIGN)
def test_the_compiled_catalogue_is_that_of_the_written_one(tag):
    compiled = BytesIO()
    write_mo(compiled, catalogue(tag))
    compiled.seek(0)
    with (language.CATALOGUES / tag / "LC_MESSAGES/sheets.mo").open("rb") as file:
        kept = read_mo(file)

    told = {str(message.id): message.string for message in kept if message.id}
    assert told == {str(message.id): message.string for message in read_mo(compiled) if message.id}


@pytest.mark.parametrize(
    ("tag", "said"),
    [
        ("en", ["0 days", "1 day", "2 days", "5 days", "11 days", "100 days"]),
        ("de", ["0 Tage", "1 Tag", "2 Tage", "5 Tage", "11 Tage", "100 Tage"]),
        ("fr", ["0 jour", "1 jour", "2 jours", "5 jours", "11 jours", "100 jours"]),
        ("es", ["0 días", "1 día", "2 días", "5 días", "11 días", "100 días"]),
        ("nl", ["0 dagen", "1 dag", "2 dagen", "5 dagen", "11 dagen", "100 dagen"]),
        ("el", ["0 ημέρες", "1 ημέρα", "2 ημέρες", "5 ημέρες", "11 ημέρες", "100 ημέρες"]),
    ],
)
def test_days_are_counted_as_the_language_counts(tag, said):
    with speaking(tag):
        counted = [words.counted(many("{n} day", "{n} days", n), n) for n in (0, 1, 2, 5, 11, 100)]

    assert [text.replace("\u00a0", " ") for text in counted] == said


def test_japanese_has_one_form_and_arabic_six():
    """CLDR: other alone; zero, one, two, few (3 to 10), many (11 to 99), other."""
    with speaking("ja"):
        assert len({many("{n} day", "{n} days", n) for n in range(200)}) == 1
    with speaking("ar"):
        told = [str(many("{n} home", "{n} homes", n)) for n in (0, 1, 2, 3, 10, 11, 99, 100, 103, 111)]

    assert told[3] == told[4] == told[8]
    assert told[5] == told[6] == told[9]
    assert len(set(told)) == 6
