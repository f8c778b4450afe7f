"""Every parameter that names a row of a table takes each row of that table, and no row of another."""

from dataclasses import fields
from typing import Any

import pytest

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.errors import CatalogueError
from holdwright.operations import OPERATIONS
from holdwright.operations.base import Operation
from holdwright.parameters.describe import FieldDescription, describe

FIELDS = [(each, field) for each in OPERATIONS for field in describe(each.parameters) if field.rows]
TABLES = [field.name for field in fields(Catalogue)]


def test_there_are_such_fields() -> None:
    assert {field.rows for _, field in FIELDS} == {"screws", "washers", "wood_screws"}


@pytest.mark.parametrize("table", TABLES)
@pytest.mark.parametrize(("operation", "field"), FIELDS, ids=lambda each: each.name)
def test_rows_of_each_table(operation: Operation[Any], field: FieldDescription, table: str) -> None:
    catalogue = load_catalogue()
    rows = getattr(catalogue, table)
    assert [row.name for row in rows] == list(catalogue.names(table))
    for row in rows:
        parameters = operation.parameters(**{field.name: row.name})
        try:
            used = operation.rows(parameters, catalogue)
        except CatalogueError:  # no such row, or several have such a name
            assert table != field.rows
        else:
            assert (row in used) == (table == field.rows)


@pytest.mark.parametrize(("operation", "field"), FIELDS, ids=lambda each: each.name)
def test_the_default_is_a_row(operation: Operation[Any], field: FieldDescription) -> None:
    assert field.default in load_catalogue().names(str(field.rows)) or (
        field.optional and field.default is None
    )
