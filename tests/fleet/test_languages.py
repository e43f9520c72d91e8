"""The catalogues of messages: whole, compiled, and with the right plural forms in all eight languages."""

from io import BytesIO
from pathlib import Path

import pytest
from babel.messages.catalog import Catalog
from babel.messages.checkers import python_format
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import read_mo, write_mo
from babel.messages.pofile import read_po
from django.utils import translation

import fleet.planning.messages
from fleet.models.message import LANGUAGES
from fleet.planning.messages import phrases
from fleet.planning.messages.standing import Trouble

SOURCES = Path(fleet.planning.messages.__file__).parent
FOLDER = SOURCES.parents[1] / "locale"
CODES = [code for code, _ in LANGUAGES]
KEYWORDS = {"gettext": None, "ngettext": (1, 2), "later": None}


def catalogue(language: str) -> Catalog:
    with (FOLDER / language / "LC_MESSAGES/django.po").open("rb") as file:
        return read_po(file, locale=language)


def texts(found: Catalog) -> set[object]:
    return {message.id for message in found if message.id}


def test_there_is_a_catalogue_for_each_language_and_no_other():
    assert sorted(path.name for path in FOLDER.iterdir()) == sorted(CODES)


@pytest.mark.parametrize("language", CODES)
def test_a_catalogue_holds_what_the_sources_say_and_nothing_else(language):
    said = {found[2] for found in extract_from_dir(str(SOURCES), keywords=KEYWORDS)}

    assert texts(catalogue(language)) == said


@pytest.mark.parametrize("language", CODES)
def test_nothing_is_left_untranslated_or_marked_as_a_guess(language):
    found = catalogue(language)
    forms = found.num_plurals

    for message in found:
        if message.id:
            told = message.string if isinstance(message.string, tuple) else (message.string,)
            assert all(told), message.id
            assert not message.fuzzy, message.id
            if message.pluralizable:
                assert len(told) == forms, message.id


@pytest.mark.parametrize("language", [code for code in CODES if code != "en"])
def test_sentences_are_not_left_in_english(language):
    same = {message.id for message in catalogue(language) if message.id and message.string == message.id}

    assert {text for text in same if len(str(text)) > 3} <= {"Sparebook: %(line)s", "water"}


@pytest.mark.parametrize("language", CODES)
def test_places_for_values_are_the_same_as_in_the_source(language):
    wrong = [(message.id, error) for message in catalogue(language) for error in _wrong_places(message)]

    assert wrong == []


def _wrong_places(message) -> list[str]:
    try:
        python_format(None, message)
    except Exception as error:
        return [str(error)]
    return []


@pytest.mark.parametrize("language", CODES)
def test_the_compiled_catalogue_is_that_of_the_written_one(language):
    compiled = BytesIO()
    write_mo(compiled, catalogue(language))
    compiled.seek(0)

    with (FOLDER / language / "LC_MESSAGES/django.mo").open("rb") as file:
        kept = read_mo(file)

    told = {str(message.id): message.string for message in kept if message.id}
    assert told == {str(message.id): message.string for message in read_mo(compiled) if message.id}


@pytest.mark.parametrize(
    ("language", "one", "two", "five", "eleven"),
    [
        ("en", "1 home could", "2 homes could", "5 homes could", "11 homes could"),
        ("de", "1 Haus ließe", "2 Häuser ließen", "5 Häuser ließen", "11 Häuser ließen"),
        ("fr", "1 maison ne pourrait", "2 maisons ne pourraient", "5 maisons ne pourraient", "11 maisons ne"),
        ("es", "1 casa no podría", "2 casas no podrían", "5 casas no podrían", "11 casas no podrían"),
        ("nl", "1 huis zou", "2 huizen zouden", "5 huizen zouden", "11 huizen zouden"),
        ("el", "1 σπίτι δεν", "2 σπίτια δεν", "5 σπίτια δεν", "11 σπίτια δεν"),
        ("ja", "家が1軒", "家が2軒", "家が5軒", "家が11軒"),
        ("ar", "منزل واحد (1)", "منزلان (2)", "5 منازل", "11 منزلًا"),
    ],
)
def test_one_two_five_and_eleven_homes(language, one, two, five, eleven):
    with translation.override(language):
        said = {n: phrases.homes(Trouble.BARE, n, translation) for n in (1, 2, 5, 11)}

    assert one in said[1]
    assert two in said[2]
    assert five in said[5]
    assert eleven in said[11]


def test_a_hundred_homes_have_a_form_of_their_own_in_arabic():
    with translation.override("ar"):
        assert "100 منزل " in phrases.homes(Trouble.BARE, 100, translation)


def test_an_unknown_language_is_told_in_english():
    with translation.override("sv"):
        assert phrases.homes(Trouble.BARE, 2, translation) == "2 homes could not be brought back today."
