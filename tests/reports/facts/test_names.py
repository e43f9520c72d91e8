"""Names that are shown to others: something to see in them, and nothing that shows another name than is written."""

import pytest

from reports.facts.names import fault_of_name


@pytest.mark.parametrize(
    "name",
    ["Ingunn Sæther", " O", "山田", "Ανδρέας", "سارة", "می\u200cخواهم", "Jo 3", "Zoe\u0308", "\u200fسارة"],
)
def test_a_name_in_any_script_may_stand(name):
    assert fault_of_name(name) == ""


@pytest.mark.parametrize(
    "name",
    ["\u200b", "\u200d\u200c", "\u200e\u200f", "\u3164", "\u2800", "\u0301", "\ufeff", "...", "\u00ad"],
)
def test_a_name_without_anything_to_see_may_not(name):
    assert "right is a name in letters" in fault_of_name(name)


@pytest.mark.parametrize("name", ["Ing\u202eunn", "A\u2066B", "A\x00B", "A\nB", "A\u2028B", "A\x9bB"])
def test_what_steers_or_hides_is_named_by_its_code_point(name):
    assert "in it cannot be seen; right is a name without it" in fault_of_name(name)


@pytest.mark.parametrize(("name", "letters"), [("", 0), ("  ", 0), ("x" * 121, 121)])
def test_how_long_it_may_be(name, letters):
    assert fault_of_name(name) == f"{letters} letters; right is a name of 1 to 120"
