"""``holdwright operations``: every step and its parameters."""

import argparse
import json
import textwrap
from typing import Any

from holdwright.errors import ParameterError
from holdwright.operations import OPERATIONS
from holdwright.operations.base import Operation
from holdwright.parameters.describe import FieldDescription, describe, schema_of, value_text


def print_reference(arguments: argparse.Namespace) -> int:
    """Print the reference of the requested operations."""
    unknown = set(arguments.names) - {operation.name for operation in OPERATIONS}
    if unknown:
        known = ", ".join(operation.name for operation in OPERATIONS)
        raise ParameterError(f"Unknown operation {', '.join(sorted(unknown))}; choose from: {known}.")
    chosen = [each for each in OPERATIONS if not arguments.names or each.name in arguments.names]
    if arguments.schema:
        print(json.dumps({operation.name: schema_of(operation.parameters) for operation in chosen}, indent=2))
    else:
        print("\n\n".join(_reference(operation) for operation in chosen))
    return 0


def _reference(operation: Operation[Any]) -> str:
    lines = [f"{operation.name}: {operation.title}", *_wrapped(operation.summary, "  ")]
    for field in describe(operation.parameters):
        lines += ["", f"  {field.name}: {_values(field)}", *_wrapped(field.description, "      ")]
        if field.relevant:
            cases = " or ".join(str(value) for value in field.relevant.values)
            lines.append(f"      Only where {field.relevant.field} is {cases}.")
    return "\n".join(lines)


def _values(field: FieldDescription) -> str:
    unit = f" {field.unit}" if field.unit else ""
    texts = [
        _range(field) + unit if field.minimum is not None or field.maximum is not None else field.kind + unit
    ]
    if field.choices:
        texts = [", ".join(str(choice) for choice in field.choices)]
    elif field.rows:
        texts = [f"a row of {field.rows}"]
    default = field.default
    texts.append(f"default {value_text(field, default)}{unit if default is not None else ''}")
    return "; ".join(texts)


def _range(field: FieldDescription) -> str:
    low = "" if field.minimum is None else f"{'above' if field.minimum_open else 'from'} {field.minimum:g}"
    high = "" if field.maximum is None else f"{'below' if field.maximum_open else 'to'} {field.maximum:g}"
    return " ".join(filter(None, (low, high)))


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(text, 100, initial_indent=indent, subsequent_indent=indent)
