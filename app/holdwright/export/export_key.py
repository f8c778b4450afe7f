"""Names an export by all it is made from, so that files which would come out the same are not made again."""

import hashlib
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.export.file_names import report_name
from holdwright.export.options import ExportOptions
from holdwright.pipeline.canonical_json import canonical
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.recipes.recipe_file import recipe_digest
from holdwright.pipeline.replaying.key import programs


def export_key(
    digest: str, recipe: Recipe, formats: Sequence[str], parts: Sequence[str] | None, options: ExportOptions
) -> str:
    """Give the key: of sculpt (its file's digest), recipe, tables, programs, and what is written how.

    The name of the hold and the date are not in it.
    """
    source = recipe.source
    earlier = [source.made_with, *source.earlier_steps] if source and source.made_with else []
    how = [list(formats), parts, options, programs(), load_catalogue()]
    made_from = [digest, recipe_digest(recipe), *how, *earlier]
    return hashlib.blake2b(canonical(made_from).encode(), digest_size=16).hexdigest()


def made_before(folder: Path, name: str, key: str) -> dict[str, Any] | None:
    """Give the report of an export of that key whose files all are in the folder as written; else None."""
    try:
        report: dict[str, Any] = json.loads((folder / report_name(name)).read_bytes())
        if report["key"] != key:
            return None
        for file in report["files"]:
            content = (folder / file["name"]).read_bytes()
            if len(content) != file["bytes"] or hashlib.sha256(content).hexdigest() != file["sha256"]:
                return None
    except (OSError, ValueError, KeyError, TypeError):  # none, or not one of ours
        return None
    return report
