"""Writing a hold's files on behalf of the window, in the process where the exact solids are."""

from dataclasses import dataclass
from pathlib import Path

from holdwright.export.job import Job, export
from holdwright.pipeline.work_context import WorkContext


@dataclass(frozen=True)
class FilesAsked:
    """Which files to write.

    Attributes
    ----------
    name
        Of the hold: files are called by it.
    recipe_name
        What the report calls the recipe.
    folder
        Where the files go.
    formats, parts
        Names of formats and of solids.
    recipe_file
        Where the recipe was read from, not to be written over; None for one never saved.
    """

    name: str
    recipe_name: str
    folder: Path
    formats: tuple[str, ...]
    parts: tuple[str, ...]
    recipe_file: Path | None = None


@dataclass(frozen=True)
class FilesWritten:
    """What was written.

    Attributes
    ----------
    files
        Path and bytes of each file, the report last.
    older
        Files of the same hold that an earlier export wrote and this one did not.
    left_alone
        What looks like an unfinished export into the folder, but is not known to be ours.
    """

    files: tuple[tuple[Path, int], ...]
    older: tuple[Path, ...]
    left_alone: tuple[Path, ...] = ()


def write_files(context: WorkContext, asked: FilesAsked) -> FilesWritten:
    """Replay the recipe and write the files, as the command line does.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader, a step, or `export.job.export` raised it.
    """
    replayed = context.replay(context.progress.part(0.0, 0.6))
    sculpt = context.sculpt(context.progress.part(0.6, 0.6))
    also_read = (asked.recipe_file,) if asked.recipe_file is not None else ()
    job = Job(asked.name, sculpt, context.sculpt_file, context.recipe, asked.recipe_name, replayed, also_read)
    exported = export(job, asked.folder, asked.formats, context.progress.part(0.6, 1.0), asked.parts)
    sizes = tuple((path, path.stat().st_size) for path in exported.files)
    return FilesWritten(sizes, exported.older, exported.left_alone)
