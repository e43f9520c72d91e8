"""JMESPath expressions of field guides (JMESPath specification): bounded, compiled, and made from paths.

Guides are typed by people and kept, so an expression may not cost much more than a walk through the document:
its length, depth and the parts that multiply values are limited, and only a few functions are allowed.
"""

import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

import jmespath
from jmespath.exceptions import JMESPathError

from fleet.snapshots.decoding import JsonValue

MOST_CHARACTERS = 300
MOST_SELECTED = 16

_MOST_LEVELS = 60
_MOST_FLATTENS = 4
_MOST_MULTISELECTS = 1
_FUNCTIONS = frozenset(
    {
        "contains",
        "ends_with",
        "join",
        "keys",
        "length",
        "max",
        "min",
        "not_null",
        "starts_with",
        "to_number",
        "values",
    }
)
_PLAIN_NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


class ExpressionError(ValueError):
    """An expression that cannot be used, or that does not fit a value; says what would be right."""


@dataclass(frozen=True, slots=True)
class Expression:
    """A compiled expression. steps: its path, where it is nothing but a path."""

    text: str
    steps: tuple[str | int, ...] | None
    compiled: Any

    def search(self, value: JsonValue) -> JsonValue:
        """What the expression finds, None where there is nothing. Raises ExpressionError."""
        if self.steps is None:
            try:
                return cast(JsonValue, self.compiled.search(value))
            except (JMESPathError, TypeError, ValueError, AttributeError, RecursionError):
                raise ExpressionError(f"expression {self.text} to fit what stands here") from None
        for step in self.steps:
            if isinstance(step, str):
                value = value.get(step) if isinstance(value, dict) else None
            else:
                value = _item(value, step)
        return value


@lru_cache(maxsize=1024)
def compile_expression(text: str) -> Expression:
    """An expression ready for use. Raises ExpressionError for one that does not compile or costs too much."""
    if not text or len(text) > MOST_CHARACTERS:
        raise ExpressionError(f"an expression of 1 to {MOST_CHARACTERS} characters")
    try:
        compiled = jmespath.compile(text)
    except (JMESPathError, ValueError, RecursionError):
        raise ExpressionError("an expression in JMESPath") from None
    _refuse_costly(list(_nodes(compiled.parsed)))
    return Expression(text, _steps(compiled.parsed), compiled)


def _nodes(root: Any) -> Iterator[Any]:
    waiting = [(root, 1)]
    while waiting:
        node, level = waiting.pop()
        if level > _MOST_LEVELS:
            raise ExpressionError(f"an expression of at most {_MOST_LEVELS} levels")
        yield node
        waiting += [(child, level + 1) for child in node.get("children", []) if isinstance(child, dict)]


def _refuse_costly(nodes: list[Any]) -> None:
    types = [node["type"] for node in nodes]
    selects = [node for node in nodes if node["type"] in ("multi_select_list", "multi_select_dict")]
    if types.count("flatten") > _MOST_FLATTENS or len(selects) > _MOST_MULTISELECTS:
        raise ExpressionError(
            f"at most {_MOST_FLATTENS} flattenings and {_MOST_MULTISELECTS} multiple selection"
        )
    if any(len(node["children"]) > MOST_SELECTED for node in selects):
        raise ExpressionError(f"a selection of at most {MOST_SELECTED} values")
    unknown = {node["value"] for node in nodes if node["type"] == "function_expression"} - _FUNCTIONS
    if unknown:
        raise ExpressionError(f"no functions but {', '.join(sorted(_FUNCTIONS))}")


def _steps(node: Any) -> tuple[str | int, ...] | None:
    """The path of an expression made of names and indexes only: most are, and need no interpreter."""
    kind = node["type"]
    if kind in ("current", "identity"):
        return ()
    if kind in ("field", "index"):
        return (node["value"],)
    if kind not in ("subexpression", "index_expression"):
        return None
    parts = [_steps(child) for child in node["children"]]
    return None if None in parts else tuple(step for part in parts if part is not None for step in part)


def _item(value: JsonValue, index: int) -> JsonValue:
    if isinstance(value, list) and -len(value) <= index < len(value):
        return value[index]
    return None


def expression_of(steps: Sequence[str | int]) -> str:
    """("mesh", "key list", 0) -> 'mesh."key list"[0]'; no steps -> "@"."""
    text = ""
    for step in steps:
        if isinstance(step, int):
            text += f"[{step}]"
        else:
            text += ("." if text else "") + name_of(step)
    return text or "@"


def name_of(name: str) -> str:
    """A member's name as an expression writes it, in quotes where it must be."""
    return name if _PLAIN_NAME.fullmatch(name) else json.dumps(name)
