"""Reads written by hand, for the push path: the ORM takes longer to build one than the database to answer it."""

from collections.abc import Callable, Iterator
from functools import cached_property
from typing import Any, Generic, TypeVar

from django.db import DEFAULT_DB_ALIAS, connections
from django.db.models import Model

Row = TypeVar("Row", bound=Model)
Values = Iterator[Any]


class Columns(Generic[Row]):
    """Some columns of one table in a SELECT. Their values become a row of the model, converted as the ORM would.

    A field that was not asked for is read when it is first used, as after QuerySet.only().
    """

    def __init__(self, model: type[Row], alias: str, *names: str) -> None:
        self._model = model
        self._fields = [field for field in model._meta.concrete_fields if field.name in names]
        self._names = [field.attname for field in self._fields]
        self.sql = ", ".join(f"{alias}.{field.column}" for field in self._fields)

    def row(self, values: Values) -> Row | None:
        """The row, from as many of the values as there are columns; None where a join found none."""
        found = [next(values) for _ in self._fields]
        if found[0] is None:
            return None
        database = connections[DEFAULT_DB_ALIAS]
        for place, column, convert in self._conversions:
            found[place] = convert(found[place], column, database)
        return self._model.from_db(DEFAULT_DB_ALIAS, self._names, found)

    @cached_property
    def _conversions(self) -> list[tuple[int, Any, Callable[..., Any]]]:
        database = connections[DEFAULT_DB_ALIAS]
        columns = [field.get_col(field.model._meta.db_table) for field in self._fields]
        return [
            (place, column, convert)
            for place, column in enumerate(columns)
            for convert in (*database.ops.get_db_converters(column), *column.get_db_converters(database))
        ]


def one_row(sql: str, given: dict[str, Any]) -> Values | None:
    """The values of the first row that the statement finds, or None."""
    with connections[DEFAULT_DB_ALIAS].cursor() as cursor:
        cursor.execute(sql, given)
        found = cursor.fetchone()
    return None if found is None else iter(found)
