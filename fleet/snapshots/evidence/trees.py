"""Whether references from rows to rows make a tree: only parents do, other references soon go in circles."""

from collections.abc import Hashable, Mapping
from typing import Generic, NamedTuple, TypeVar

Name = TypeVar("Name", bound=Hashable)

_MOST_STRAY = 0.05


class Tree(NamedTuple, Generic[Name]):
    """References that go upward. root: the one name pointed at that no row has; pointed_at: all of them."""

    root: Name | None
    pointed_at: frozenset[Name]


def tree_of(own: Mapping[int, Name], refers: Mapping[int, Name], every: frozenset[Name]) -> Tree[Name] | None:
    """The tree that the references make, or None.

    own, refers: row -> its own name, and the name it points at. every: all names of the list, of rows that were
    not looked at too. At most one name from elsewhere is pointed at (the head's), give or take stray ones; a row
    points at itself only as the root.
    """
    strangers: dict[Name, int] = {}
    for name in refers.values():
        if name not in every:
            strangers[name] = strangers.get(name, 0) + 1
    root = max(strangers, key=lambda name: strangers[name], default=None)
    stray = sum(strangers.values()) - (strangers[root] if root is not None else 0)
    if stray > _MOST_STRAY * len(refers):
        return None
    up = {own[row]: name for row, name in refers.items() if row in own}
    themselves = sum(name == above for name, above in up.items())
    if themselves > (1 if root is None else 0) or _has_circle(up):
        return None
    return Tree(root, frozenset(refers.values()))


def _has_circle(up: Mapping[Name, Name]) -> bool:
    done: set[Name] = set()
    for start in up:
        seen: list[Name] = []
        name = start
        while name in up and name not in done and up[name] != name:
            done.add(name)
            seen.append(name)
            name = up[name]
        if name in seen:
            return True
    return False
