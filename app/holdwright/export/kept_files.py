"""What is kept with a hold besides its parts: the recipe it was made by, and pictures of it."""

from pathlib import Path
from typing import Final

from holdwright.errors import ExportError
from holdwright.export.parts import HOLDING_DOWN, FinishedParts
from holdwright.export.report_writing import Job
from holdwright.pipeline.recipes.recipe_file import recipe_text
from holdwright.pipeline.recipes.source_file import with_relative_source

VIEWS: Final = ("corner", "front", "back")
"""Of the pictures, by what `render.picture` calls them."""

_SIDE: Final = 1024
"""Of a picture, pixels."""


def kept_names(name: str) -> list[str]:
    """Name the files kept with a hold."""
    return [f"{name}.recipe.json", *(f"{name}-{view}.png" for view in VIEWS)]


def kept_files(job: Job, finished: FinishedParts, folder: Path) -> tuple[dict[str, bytes], str]:
    """Give the bytes of the files by name, and why there is no picture; blank where there is.

    Parameters
    ----------
    folder
        Where they go: the recipe names its sculpt from there.
    """
    from holdwright.render import picture  # takes long to load

    recipe, *pictures = kept_names(job.name)
    text = recipe_text(with_relative_source(job.recipe, folder))
    files = {recipe: text.encode("utf-8", "backslashreplace")}
    solids = {part.name: part.solid for part in finished.parts if part.name not in HOLDING_DOWN}
    try:
        for name, view in zip(pictures, VIEWS, strict=True):
            files[name] = picture.picture_of(solids, view, (_SIDE, _SIDE))
    except ExportError as error:
        return files, f"there is no picture of the hold to keep. {error}"
    return files, ""
