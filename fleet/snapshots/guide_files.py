"""Field guides as JSON files: field_guide.schema.json says what stands in one."""

import json
from importlib.resources import files
from itertools import islice
from typing import Any, cast

from jsonschema_rs import Draft202012Validator, ValidationError

from fleet.snapshots.decoding import JsonValue, Problem, ReadError, decode
from fleet.snapshots.guide_facts import Fact, NodeFact
from fleet.snapshots.guide_faults import faults
from fleet.snapshots.guide_rules import FieldGuide, FieldRule, NodeRule, NodeTable
from fleet.snapshots.paths import show_path, shown
from fleet.snapshots.readings import Reading, Words
from fleet.snapshots.rows import Form, Rows, Source

MOST_BYTES = 64 * 1024
MOST_LEVELS = 20

_SCHEMA = Draft202012Validator(
    json.loads(files(__package__).joinpath("field_guide.schema.json").read_text("utf-8"))
)
_MOST_PROBLEMS = 20
_LONGEST_RIGHT = 200
_FORM = 1


def to_json(guide: FieldGuide) -> str:
    """The guide as text, always the same for the same guide. Holds no values of any document but its words."""
    document = {
        "field_guide": _FORM,
        "name": guide.name,
        "version": guide.version,
        "fingerprints": [*guide.fingerprints],
        "mesh": {fact.value: _rule(rule) for fact, rule in guide.rules.items()},
        "nodes": [_table(table) for table in guide.tables],
        "fixed": {fact.value: value for fact, value in guide.fixed.items()},
        "head_listed": guide.head_listed,
        "counter_copies": [_rule(rule) for rule in guide.counter_copies],
    }
    return json.dumps(document, indent=2, ensure_ascii=False) + "\n"


def from_json(data: bytes | str) -> FieldGuide:
    """A guide from its file. Raises ReadError with a problem for each thing that is wrong.

    Refused: more than 64 kB, anything that the schema does not know, expressions that do not compile, are
    longer than 300 characters or cost too much, readings and words that do not fit their fact.
    """
    octets = data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data
    document = decode(octets, max_bytes=MOST_BYTES, max_depth=MOST_LEVELS)
    problems = [
        Problem(show_path(tuple(error.instance_path)), shown(error.instance), _right(error))
        for error in islice(_SCHEMA.iter_errors(document), _MOST_PROBLEMS)
    ]
    if problems:
        raise ReadError(problems)
    guide = _guide(cast(dict[str, Any], document))
    wrong = faults(guide)
    if wrong:
        raise ReadError(wrong)
    return guide


def _right(error: ValidationError) -> str:
    kind: Any = error.kind
    if kind.name == "required":
        return f"a member {kind.property}"
    if kind.name == "additionalProperties":
        return f"no member {', '.join(kind.unexpected)[:80]}"
    schema = error.message.partition(" is not ")[2]
    return (f"a value that is {schema}" if schema else error.message)[:_LONGEST_RIGHT]


def _guide(document: dict[str, Any]) -> FieldGuide:
    return FieldGuide(
        name=document["name"],
        version=int(document["version"]),
        fingerprints=tuple(document.get("fingerprints", ())),
        rules={Fact(name): _field_rule(rule) for name, rule in document["mesh"].items()},
        tables=tuple(_node_table(table) for table in document["nodes"]),
        fixed={Fact(name): value for name, value in document.get("fixed", {}).items()},
        head_listed=document.get("head_listed", False),
        counter_copies=tuple(_field_rule(rule) for rule in document.get("counter_copies", ())),
    )


def _field_rule(rule: dict[str, Any]) -> FieldRule:
    return FieldRule(rule["expression"], Reading(rule["reading"]), _words(rule))


def _node_table(table: dict[str, Any]) -> NodeTable:
    rules = {
        NodeFact(name): NodeRule(
            rule["expression"], Reading(rule["reading"]), Source(rule.get("source", "item")), _words(rule)
        )
        for name, rule in table["rules"].items()
    }
    return NodeTable(_rows(table["rows"]), rules, table.get("adds", True))


def _rows(rows: dict[str, Any]) -> Rows:
    within = rows.get("within")
    around = None if within is None else _rows(within)
    return Rows(rows["items"], Form(rows["form"]), around, rows.get("again", False))


def _words(rule: dict[str, Any]) -> Words:
    return tuple(rule.get("words", {}).items())


def _table(table: NodeTable) -> dict[str, JsonValue]:
    rules: dict[str, JsonValue] = {fact.value: _rule(rule) for fact, rule in table.rules.items()}
    return {"rows": _rows_text(table.rows), "adds": table.adds, "rules": rules}


def _rows_text(rows: Rows) -> dict[str, JsonValue]:
    within: dict[str, JsonValue] = {} if rows.within is None else {"within": _rows_text(rows.within)}
    again: dict[str, JsonValue] = {"again": True} if rows.again else {}
    return {"items": rows.items, "form": rows.form.value} | within | again


def _rule(rule: FieldRule | NodeRule) -> dict[str, JsonValue]:
    told: dict[str, JsonValue] = {"expression": rule.expression, "reading": rule.reading.value}
    if isinstance(rule, NodeRule) and rule.source is not Source.ITEM:
        told["source"] = rule.source.value
    if rule.words:
        told["words"] = dict(rule.words)
    return told
