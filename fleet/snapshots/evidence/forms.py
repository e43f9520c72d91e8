"""In which form a list or object of a document stands for rows, if it does."""

from collections import Counter

from fleet.snapshots.decoding import JsonValue
from fleet.snapshots.evidence.sights import ADDRESS, is_octets, sights
from fleet.snapshots.expressions import MOST_SELECTED, name_of
from fleet.snapshots.keyed import alike, is_keyed
from fleet.snapshots.rows import MOST_COLUMNS, Form

_LOOKED_AT = 24
_LEAST_ALIKE = 0.3


def table_form(value: dict[str, JsonValue] | list[JsonValue]) -> Form | None:
    """How the value could be read as rows: None for records and for lists of unlike sections."""
    if isinstance(value, dict):
        if _are_columns(list(value.values())[:MOST_COLUMNS]):
            return Form.COLUMNS
        return Form.KEYED if is_keyed(value) else None
    if (
        len(value) > 1
        and _are_columns(value[:MOST_COLUMNS])
        and isinstance(value[0], list)
        and _unique_addresses(value[0])
    ):
        return Form.COLUMNS
    objects = [item for item in value[:_LOOKED_AT] if isinstance(item, dict)]
    if objects and len(objects) == len(value[:_LOOKED_AT]):
        return Form.LIST if len(objects) == 1 or alike(objects) >= _LEAST_ALIKE else None
    return Form.LIST if not objects else None


def heading_of(value: JsonValue) -> tuple[str, ...]:
    """The names in the first row of a list of lists, where that row holds no data: () if there are none."""
    if not isinstance(value, list) or len(value) < 2:
        return ()
    first, second = value[0], value[1]
    if not isinstance(first, list) or not isinstance(second, list) or len(first) != len(second):
        return ()
    names = [name for name in first if isinstance(name, str)]
    if len(names) != len(first) or any(_is_address(name) for name in names):
        return ()
    return tuple(names) if any(map(_is_address, second)) else ()


def only_columns(value: dict[str, JsonValue], expression: str) -> tuple[dict[str, JsonValue], str]:
    """The lists that stand side by side, and the expression for just these where others stand beside them."""
    lists = {name: member for name, member in value.items() if isinstance(member, list) and member}
    length = _usual_length([member for member in lists.values() if not _is_row(member)])
    columns: dict[str, JsonValue] = {name: member for name, member in lists.items() if len(member) == length}
    if len(columns) == len(lists) or len(columns) > MOST_SELECTED:
        return columns, expression
    names = ", ".join(f"{name_of(name)}: {name_of(name)}" for name in columns)
    return columns, f"{{{names}}}" if expression == "@" else f"{expression}.{{{names}}}"


def is_plain_column(value: list[JsonValue]) -> bool:
    """True for a list of single values of one kind: numbers, words, or texts that mostly have one width."""
    if any(isinstance(item, list | dict) for item in value):
        return False
    texts = [item for item in value if isinstance(item, str)]
    if not texts:
        return True
    widths = Counter(max((sight.width for sight in sights(text)), default=0) for text in texts[:_LOOKED_AT])
    return len(texts) == len(value) and max(widths.values()) >= 0.9 * len(texts[:_LOOKED_AT])


def _are_columns(members: list[JsonValue]) -> bool:
    """Two or more lists of one length, one of them of different addresses."""
    lists = [member for member in members if isinstance(member, list) and member and not _is_row(member)]
    length = _usual_length(lists)
    columns = [member for member in lists if len(member) == length]
    return len(columns) > (1 if length > 1 else 2) and any(map(_unique_addresses, columns))


def _usual_length(lists: list[list[JsonValue]]) -> int:
    lengths = Counter(map(len, lists))
    return max(lengths, key=lambda length: (lengths[length], length), default=0)


def _is_row(member: list[JsonValue]) -> bool:
    return isinstance(member[0], dict) or is_octets(member)


def _unique_addresses(column: list[JsonValue]) -> bool:
    looked_at = column[:_LOOKED_AT]
    numbers = [sight.number for item in looked_at for sight in sights(item) if sight.width == ADDRESS]
    return len(set(numbers)) >= 0.9 * len(looked_at)


def _is_address(item: JsonValue) -> bool:
    return any(sight.width == ADDRESS for sight in sights(item))
