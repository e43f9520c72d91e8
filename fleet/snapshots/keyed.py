"""Whether an object is a record with members of its own meaning, or a list whose items are named."""

import re
from collections.abc import Iterable, Mapping
from itertools import islice

from fleet.snapshots.decoding import JsonValue

_LOOKED_AT = 24
_LEAST_SHARE = 0.9
_LEAST_ALIKE = 0.7
_ADDRESS_64 = re.compile(r"(?:0[xX])?(?:[0-9A-Fa-f]{2}[:.\- ]?){7}[0-9A-Fa-f]{2}|[0-9]{15,20}")
_NUMBER = re.compile(r"0[xX][0-9A-Fa-f]{1,4}|[0-9]{1,5}|[0-9A-Fa-f]{4}")


def is_keyed(members: Mapping[str, JsonValue]) -> bool:
    """True for an object that stands for a list: named by addresses or numbers, or all its members alike.

    Names decide when they are 64-bit addresses, or two or more short addresses or numbers. Otherwise two or
    more members must be objects that share most of their own names.
    """
    names = list(islice(members, _LOOKED_AT))
    if not names:
        return False
    if named_by_addresses(members):
        return True
    if len(names) > 1 and _share(_NUMBER.fullmatch(name) is not None for name in names) >= _LEAST_SHARE:
        return not _is_typed_array(names)
    return len(names) > 1 and alike([members[name] for name in names]) >= _LEAST_ALIKE


def named_by_addresses(members: Mapping[str, JsonValue]) -> bool:
    """True for an object whose members are named by 64-bit addresses."""
    names = list(islice(members, _LOOKED_AT))
    return bool(names) and _share(_ADDRESS_64.fullmatch(name) is not None for name in names) >= _LEAST_SHARE


def alike(items: Iterable[JsonValue]) -> float:
    """How much objects have the same members, 0 to 1: the mean share of all their names that each has.

    0 where an item is no object or an empty one.
    """
    objects = [set(item) if isinstance(item, dict) else set() for item in islice(items, _LOOKED_AT)]
    names = set().union(*objects)
    if not names or not all(objects):
        return 0.0
    return sum(len(own) for own in objects) / (len(names) * len(objects))


def shared_names(items: Iterable[JsonValue], others: Iterable[JsonValue]) -> float:
    """How many of their names two sorts of objects share, 0 to 1 (Jaccard)."""
    mine = {name for item in islice(items, _LOOKED_AT) if isinstance(item, dict) for name in item}
    theirs = {name for item in islice(others, _LOOKED_AT) if isinstance(item, dict) for name in item}
    return len(mine & theirs) / len(mine | theirs) if mine | theirs else 0.0


def _share(signs: Iterable[bool]) -> float:
    found = list(signs)
    return sum(found) / len(found)


def _is_typed_array(names: list[str]) -> bool:
    return len(names) in (8, 16) and names == [str(number) for number in range(len(names))]
