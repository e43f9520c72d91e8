"""Hold a document against a JSON Schema and put every misfit in words: path, value, what would be right.

The schema states for each field in "x-range" what is right, in "x-unit" its unit and in "x-secret" whether
its value is a credential, which is never repeated.
"""

from collections.abc import Iterator
from difflib import get_close_matches
from itertools import islice
from typing import Any

from jsonschema_rs import Draft202012Validator, RegexOptions, ValidationErrorKind

from fleet.snapshots.decoding import Problem
from fleet.snapshots.paths import HIDDEN, Path, show_path, shown

MOST_PROBLEMS = 100

_LONGEST_TEXT = 500
_MOST_FIELDS = 200


class LayoutSchema:
    """A compiled schema of an object whose long list is called "nodes"."""

    def __init__(self, schema: dict[str, Any]) -> None:
        # The engine without back-references takes linear time, whatever a hostile text holds.
        options = RegexOptions()
        nodes = schema["properties"]["nodes"]
        self._schema = schema
        self._most_nodes: int = nodes["maxItems"]
        self._whole = Draft202012Validator(schema, pattern_options=options)
        self._node = Draft202012Validator(nodes["items"], pattern_options=options)

    def fits(self, document: object) -> bool:
        """True where the schema holds."""
        return self._whole.is_valid(document)

    def problems(self, document: object) -> tuple[Problem, ...]:
        """Every misfit, the first MOST_PROBLEMS of them; a last line says where more were left out."""
        found = tuple(islice(self._problems(document), MOST_PROBLEMS + 1))
        if len(found) <= MOST_PROBLEMS:
            return found
        rest = Problem("$", "", f"the {MOST_PROBLEMS} fields above to be right; more are wrong after them")
        return (*found[:MOST_PROBLEMS], rest)

    def _problems(self, document: object) -> Iterator[Problem]:
        # The validator collects all errors before it gives the first: a hostile list of a million wrong
        # nodes would take seconds and gigabytes. So the nodes are asked one by one.
        nodes: list[object] = []
        if isinstance(document, dict) and isinstance(document.get("nodes"), list):
            nodes = document["nodes"]
            document = document | {"nodes": []}
        yield from self._misfits((), document, self._whole)
        if len(nodes) > self._most_nodes:
            yield Problem("$.nodes", shown(nodes), self._right(("nodes",)))
            return
        for number, node in enumerate(nodes):
            if not self._node.is_valid(node):
                yield from self._misfits(("nodes", number), node, self._node)

    def _misfits(self, prefix: Path, part: object, schema: Draft202012Validator) -> Iterator[Problem]:
        for error in schema.iter_errors(_trimmed(part)):
            path = (*prefix, *error.instance_path)
            kind = error.kind
            if isinstance(kind, ValidationErrorKind.AdditionalProperties):
                known = list(self._field(path).get("properties", {}))
                yield from (_unknown(path, name, known) for name in kind.unexpected)
            elif isinstance(kind, ValidationErrorKind.Required):
                missing = (*path, kind.property)
                yield Problem(show_path(missing), "nothing", self._right(missing))
            else:
                value = HIDDEN if self._field(path).get("x-secret") else shown(error.instance)
                yield Problem(show_path(path), value, self._right(path))

    def _right(self, path: Path) -> str:
        field = self._field(path)
        unit = field.get("x-unit", "none")
        return str(field.get("x-range", "another value")) + ("" if unit == "none" else f" ({unit})")

    def _field(self, path: Path) -> dict[str, Any]:
        field = self._schema
        for step in path:
            inside = (
                field.get("items", {}) if isinstance(step, int) else field.get("properties", {}).get(step)
            )
            field = inside or {}
        return field


def _trimmed(value: object) -> object:
    """Every error holds a copy of what it is about, so hostile sizes are cut before errors are listed."""
    if isinstance(value, str):
        return value[:_LONGEST_TEXT]
    if isinstance(value, dict):
        fields = islice(value.items(), _MOST_FIELDS)
        return {name[:_LONGEST_TEXT]: _trimmed(inner) for name, inner in fields}
    return value


def _unknown(path: Path, name: str, known: list[str]) -> Problem:
    near = get_close_matches(name[:60], known, n=1)
    right = f"{near[0]}, perhaps" if near else "only " + ", ".join(known)
    return Problem(show_path((*path, name)), "a field that the layout does not have", right)
