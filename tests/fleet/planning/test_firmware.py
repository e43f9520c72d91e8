import pytest

from fleet.planning.firmware import Build, Order, VersionForm, compare

NUMBERS, LETTERS, DATE = VersionForm
OLDER, SAME, NEWER, UNKNOWN = Order

# Trade row F4: thirty pairs, the first against the second.
PAIRS = [
    ("6.10", "6.9", NUMBERS, NEWER),
    ("6.9", "6.10", NUMBERS, OLDER),
    ("6.10.3", "6.10.3", NUMBERS, SAME),
    ("6.10", "6.10.0", NUMBERS, SAME),
    ("v6.10", "6.10", NUMBERS, SAME),
    ("7.0", "6.99.99", NUMBERS, NEWER),
    ("6.10.3", "6.10", NUMBERS, NEWER),
    ("6.10-rc1", "6.10", NUMBERS, OLDER),
    ("6.10-rc2", "6.10-rc1", NUMBERS, NEWER),
    ("6.10-rc10", "6.10-rc9", NUMBERS, NEWER),
    ("6.10-beta", "6.10-rc1", NUMBERS, OLDER),
    ("6.10-alpha2", "6.10-beta1", NUMBERS, OLDER),
    ("6.11-rc1", "6.10", NUMBERS, NEWER),
    ("6.10-vendor", "6.10", NUMBERS, UNKNOWN),
    ("6.10-vendor", "6.9-other", NUMBERS, UNKNOWN),
    ("6.10-vendor", "6.9-vendor", NUMBERS, NEWER),
    ("6.09", "6.1", NUMBERS, UNKNOWN),
    ("20270326", "6.10", NUMBERS, UNKNOWN),
    ("stable", "6.10", NUMBERS, UNKNOWN),
    ("", "6.10", NUMBERS, UNKNOWN),
    ("1.2b", "1.2a", LETTERS, NEWER),
    ("1.2a", "1.2", LETTERS, NEWER),
    ("1.10", "1.9c", LETTERS, NEWER),
    ("1.2aa", "1.2z", LETTERS, NEWER),
    ("1.2A", "1.2a", LETTERS, SAME),
    ("20270326", "20270225", DATE, NEWER),
    ("2027-03-26", "20270326", DATE, SAME),
    ("20261231", "20270101", DATE, OLDER),
    ("20270230", "20270101", DATE, UNKNOWN),
    ("20270326-vendor", "20270101", DATE, UNKNOWN),
]


@pytest.mark.parametrize(
    ("one", "other", "form", "order"), PAIRS, ids=[f"{pair[0]}-against-{pair[1]}-{pair[2]}" for pair in PAIRS]
)
def test_pairs_of_versions(one, other, form, order):
    assert compare(Build(one), Build(other), form).order is order


@pytest.mark.parametrize(("one", "other", "form", "order"), PAIRS)
def test_pairs_the_other_way_round(one, other, form, order):
    turned = {OLDER: NEWER, NEWER: OLDER}.get(order, order)
    assert compare(Build(other), Build(one), form).order is turned


def test_there_are_thirty_pairs():
    assert len(PAIRS) == 30


def test_a_pre_release_is_no_letter_after_the_figures():
    """1.2rc may come before 1.2 or after it: a person gives it a place."""
    assert compare(Build("1.2rc"), Build("1.2"), LETTERS).order is UNKNOWN
    assert compare(Build("1.2rd"), Build("1.2"), LETTERS).order is NEWER


def test_places_that_were_given_go_before_the_text():
    assert compare(Build("6.9", order_key=(2,)), Build("6.10", order_key=(1,)), NUMBERS).order is NEWER


def test_one_place_alone_says_nothing_and_names_the_other():
    found = compare(Build("6.9", order_key=(2,)), Build("6.10"), NUMBERS)
    assert (found.order, found.because) == (
        UNKNOWN,
        "6.9 was given a place and 6.10 was not; give it one too.",
    )


def test_the_same_number_for_another_band_plan_does_not_compare():
    assert compare(Build("6.10", "EU"), Build("6.10", "US"), NUMBERS).order is UNKNOWN


def test_without_a_form_nothing_is_guessed():
    assert compare(Build("6.10"), Build("6.9"), None).order is UNKNOWN
