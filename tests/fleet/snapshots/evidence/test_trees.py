import pytest

from fleet.snapshots.evidence.trees import tree_of

OWN = dict(enumerate("abcdef"))
EVERY = frozenset("abcdef")


def refers(text: str) -> dict[int, str]:
    """ "Haa-" -> row 0 points at H, rows 1 and 2 at a, row 3 at nothing."""
    return {row: name for row, name in enumerate(text) if name != "-"}


@pytest.mark.parametrize(
    ("text", "root"),
    [("HHaabb", "H"), ("HHHHHH", "H"), ("-aabbc", None), ("aaabbc", None), ("-a----", None)],
)
def test_references_that_only_go_upward_make_a_tree(text: str, root: str | None) -> None:
    tree = tree_of(OWN, refers(text), EVERY)

    assert tree is not None
    assert tree.root == root


@pytest.mark.parametrize("text", ["bacdef", "ba----", "bca---", "HXYaab", "abcdef", "Haabbf", "fabcde"])
def test_circles_strangers_and_references_to_oneself_make_none(text: str) -> None:
    assert tree_of(OWN, refers(text), EVERY) is None


def test_names_of_rows_that_were_not_looked_at_are_no_strangers() -> None:
    tree = tree_of(OWN, refers("xyzxyz"), EVERY | frozenset("xyz"))

    assert tree is not None
    assert tree.root is None


def test_a_long_chain_is_a_tree() -> None:
    own = dict(enumerate(range(10_000)))
    up = {row: row - 1 for row in own}

    tree = tree_of(own, up, frozenset(own))

    assert tree is not None
    assert tree.root == -1
