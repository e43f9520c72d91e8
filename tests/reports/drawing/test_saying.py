"""Figures of a sentence in the language of the sheet."""

from decimal import Decimal

import pytest

from fleet.planning.sentences import Span, Unit
from reports.drawing.language import LANGUAGES, speaking
from reports.drawing.saying import span

SPANS = [Span(Decimal(amount), unit) for amount in ("0", "1", "2", "3.2", "45") for unit in Unit]


@pytest.mark.parametrize("tag", [tag for tag in LANGUAGES if tag != "en"])
def test_a_span_has_words_of_its_language(tag):
    with speaking(tag):
        said = [span(each) for each in SPANS]
    with speaking("en"):
        english = [span(each) for each in SPANS]

    assert [one for one in said if "duration" in one or "hour" in one or "day" in one] == []
    assert len(set(said) - set(english)) >= len(set(english)) * 2 // 3 - 1
