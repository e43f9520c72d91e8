"""Plural forms of the catalogues against the rules that the Unicode CLDR publishes (as carried by Babel)."""

import gettext
from pathlib import Path

import pytest
from babel import Locale

import fleet
from fleet.models.message import LANGUAGES

FOLDER = Path(fleet.__file__).parent / "locale"
# CLDR has a form for millions in French and Spanish; no message counts so far.
COUNTS = [*range(1001), 9_999]


@pytest.mark.parametrize(
    "language", [pytest.param(code, id=f"CLDR plural rules: {code}") for code, _ in LANGUAGES]
)
def test_two_counts_share_a_form_exactly_where_cldr_has_them_in_one_category(language):
    with (FOLDER / language / "LC_MESSAGES/django.mo").open("rb") as file:
        form_of = gettext.GNUTranslations(file).plural
    category_of = Locale(language).plural_form

    pairs = {(form_of(n), category_of(n)) for n in COUNTS}

    assert len(pairs) == len({form for form, _ in pairs}) == len({category for _, category in pairs})
