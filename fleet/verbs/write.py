"""Rows written together, for the push path: what save() does, without making each statement anew."""

from collections.abc import Sequence
from functools import cache

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.models import Field, Model

Part = tuple[type[Model], tuple[Field, ...]]
"""A table, and the fields of it that a statement names."""


def write_family(first: Model, others: Sequence[Model], changed: Model, names: Sequence[str]) -> None:
    """Insert a row and others that belong to it, and update the named fields of a row that is there already.

    In the others, a key to the first one's table becomes the first one's number; only the first learns its own.
    PostgreSQL is told all of it in one statement, by which a push takes three quarters of the time; SQLite knows no
    such statement. Call inside a transaction.
    """
    if connections[DEFAULT_DB_ALIAS].vendor == "postgresql":
        _at_once(first, others, changed, names)
    else:
        _one_by_one(first, others, changed, names)


def _one_by_one(first: Model, others: Sequence[Model], changed: Model, names: Sequence[str]) -> None:
    first.save(force_insert=True)
    for row in others:
        for link in _links(type(row), type(first)):
            setattr(row, link.attname, first.pk)
        row.save(force_insert=True)
    if names:
        changed.save(update_fields=names)


def _at_once(first: Model, others: Sequence[Model], changed: Model, names: Sequence[str]) -> None:
    database = connections[DEFAULT_DB_ALIAS]
    rows = (first, *others, changed)
    inserted = (_stated(first, None), *(_stated(row, type(first)) for row in others))
    updated = (type(changed), tuple(changed._meta.get_field(name) for name in names))
    values = [
        field.get_db_prep_save(getattr(row, field.attname), database)
        for row, (_, fields) in zip(rows, (*inserted, updated), strict=True)
        for field in fields
    ]
    if names:
        values.append(changed.pk)
    with database.cursor() as cursor:
        cursor.execute(_statement(inserted, updated), values)
        (first.pk,) = cursor.fetchone()
    first._state.adding, first._state.db = False, DEFAULT_DB_ALIAS


def _stated(row: Model, first: type[Model] | None) -> Part:
    """What is NULL is left out: psycopg keeps no statement of more than fifty values, and would read it each time."""
    fields = _own_fields(type(row), first)
    return type(row), tuple(field for field in fields if getattr(row, field.attname) is not None)


@cache
def _own_fields(model: type[Model], first: type[Model] | None) -> tuple[Field, ...]:
    fields = (field for field in model._meta.concrete_fields if not field.primary_key)
    return tuple(field for field in fields if field not in _links(model, first))


@cache
def _links(model: type[Model], first: type[Model] | None) -> tuple[Field, ...]:
    return tuple(field for field in model._meta.concrete_fields if first and field.related_model is first)


@cache
def _statement(inserted: tuple[Part, ...], updated: Part) -> str:
    first = inserted[0][0]
    parts = [f"first AS ({_insert(*inserted[0], ())} RETURNING id)"]
    for number, (model, fields) in enumerate(inserted[1:], start=1):
        parts.append(f"other_{number} AS ({_insert(model, fields, _links(model, first))})")
    model, fields = updated
    if fields:
        sets = ", ".join(f'"{field.column}" = %s' for field in fields)
        parts.append(f'changed AS (UPDATE "{model._meta.db_table}" SET {sets} WHERE id = %s)')
    return f"WITH {', '.join(parts)} SELECT id FROM first"


def _insert(model: type[Model], fields: tuple[Field, ...], links: tuple[Field, ...]) -> str:
    columns = ", ".join(f'"{field.column}"' for field in (*fields, *links))
    places = ", ".join([*["%s"] * len(fields), *["(SELECT id FROM first)"] * len(links)])
    return f'INSERT INTO "{model._meta.db_table}" ({columns}) VALUES ({places})'
