"""The texts that stand below the fields of a class, read from its source when they are asked for.

Pydantic can take them too (`use_attribute_docstrings`), but reads the source of every class for it when the
program starts: a sixth of a second, for what only forms, references and schemas show.
"""

import ast
import inspect
import sys
from functools import cache
from itertools import pairwise
from typing import Any


@cache
def field_texts(kind: type) -> dict[str, str]:
    """Give the texts below the fields of a class and of those it is derived from, by field."""
    texts: dict[str, str] = {}
    for base in reversed(kind.__mro__):
        declared = _classes(base.__module__).get(base.__name__)
        for field, text in pairwise(declared.body if declared else ()):
            if isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name):
                match text:
                    case ast.Expr(ast.Constant(str(words))):
                        texts[field.target.id] = inspect.cleandoc(words)
    return texts


def add_field_texts(schema: dict[str, Any], kind: type) -> None:
    """Describe the fields in a JSON schema that have no description yet: pydantic's `json_schema_extra`."""
    for field, text in field_texts(kind).items():
        if field in schema.get("properties", {}):
            schema["properties"][field].setdefault("description", text)


@cache
def _classes(module: str) -> dict[str, ast.ClassDef]:
    try:
        tree = ast.parse(inspect.getsource(sys.modules[module]))
    except (OSError, TypeError):  # there is no source
        return {}
    return {each.name: each for each in tree.body if isinstance(each, ast.ClassDef)}
