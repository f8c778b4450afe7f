"""Writes the files of one finished hold: all of them, checked, or none."""

import errno
import hashlib
import zipfile
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from holdwright.errors import Cancelled, ExportError
from holdwright.export.about import about_hold, thumbnail_of
from holdwright.export.export_key import export_key
from holdwright.export.file_names import file_names, names_being_read, report_name
from holdwright.export.formats import DEFAULT_FORMATS, FORMATS, FileFormat, chosen_formats
from holdwright.export.kept_files import kept_files, kept_names
from holdwright.export.options import USUAL, ExportOptions
from holdwright.export.parts import (
    HOLDING_DOWN,
    FinishedParts,
    Part,
    check_finished,
    difference,
    finished_parts,
)
from holdwright.export.report import FileSection, Report, report_text
from holdwright.export.report_writing import Job, report_of
from holdwright.export.sheet_writing import sheet_bytes
from holdwright.export.staging import left_alone, staged
from holdwright.files.write_3mf import About
from holdwright.geometry.mesh.closedness import closedness
from holdwright.hold.hold import CORE, SHELL, WHOLE
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.progress import SILENT, Progress
from holdwright.sheet.choice import ENDINGS, SheetChoice
from holdwright.strength.strength_result import StrengthResult

__all__ = ["ExportRequest", "Exported", "Job", "export", "write_files"]


@dataclass(frozen=True)
class Exported:
    """What was written."""

    files: tuple[tuple[Path, int], ...]
    """Path and bytes of each file, the report last."""
    report: Report
    """What the report says."""
    older: tuple[Path, ...]
    """Paths of files of the same hold that an earlier export wrote and this one did not."""
    left_alone: tuple[Path, ...] = ()
    """Paths of what looks like an unfinished export into the same folder, but is not known to be ours."""
    note: str = ""
    """What could not be had but is no fault of the files: a picture in the 3MF; blank for nothing."""


@dataclass(frozen=True)
class ExportRequest:
    """Which files to write on behalf of the window."""

    name: str
    """Of the hold: files are called by it."""
    recipe_name: str
    """What the report calls the recipe."""
    folder: Path
    """Where the files go."""
    formats: tuple[str, ...]
    parts: tuple[str, ...]
    """formats, parts: names of formats and of solids."""
    recipe_file: Path | None = None
    """Where the recipe was read from, not to be written over; None for one never saved."""
    options: ExportOptions = USUAL
    """How the parts lie in the files, and whose they are."""
    strength: StrengthResult | None = None
    """As it was computed before; None where it was not, or of another hold."""


@dataclass(frozen=True)
class _File:
    """A file to write: its name, format and parts."""

    name: str
    kind: FileFormat
    parts: tuple[Part, ...]


def write_files(context: WorkContext, request: ExportRequest) -> Exported:
    """Replay the recipe in the geometry process and write the files, as the command line does.

    Raises
    ------
    HoldwrightError
        As the sculpt's reader, a step, or `export` raised it.
    """
    replayed = replace(context.replay(context.progress.part(0.0, 0.6)), strength=request.strength)
    sculpt = context.sculpt(context.progress.part(0.6, 0.6))
    also_read = (request.recipe_file,) if request.recipe_file is not None else ()
    job = Job(
        request.name, sculpt, context.sculpt_file, context.recipe, request.recipe_name, replayed, also_read
    )
    progress = context.progress.part(0.6, 1.0)
    return export(job, request.folder, request.formats, progress, request.parts, request.options)


def export(
    job: Job,
    folder: Path,
    formats: Sequence[str] = DEFAULT_FORMATS,
    progress: Progress = SILENT,
    parts: Sequence[str] | None = None,
    options: ExportOptions = USUAL,
) -> Exported:
    """Write the files of a finished hold and its report.

    Parameters
    ----------
    folder
        Created where it does not exist. Files of the same names are replaced, all together.
    formats
        Names from `FORMATS`.
    parts
        Names of the solids to write; None for all.
    options
        How the parts lie in the files, and whose they are.

    Raises
    ------
    ExportError
        When the files cannot be written, would replace one that is read, or do not hold what they should when
        read back. All files that were in the folder are as they were.
    CatalogueError, ParameterError, RecipeError, GeometryError
        When a format, a part, the printer or the shrinkage is not known, or there is no solid of true size to
        write.
    """
    kinds = chosen_formats(formats)
    check_finished(job.replay.hold, parts)
    finished = finished_parts(job.replay.hold, job.recipe.print, options, parts)
    by_name = {part.name: part for part in finished.parts}
    files = [
        _File(name, kind, tuple(by_name[part] for part in held))
        for kind in kinds
        for name, held in file_names(job.name, tuple(by_name), kind).items()
    ]
    sheets = [options.sheet.name(job.name)] if options.sheet else []
    kept = kept_names(job.name) if options.keep else []
    names = [*(file.name for file in files), *sheets, *kept, report_name(job.name)]
    _check_folder(job, folder, names)
    try:
        made = _make(folder)
        try:
            key = export_key(job.sculpt.digest, job.recipe, formats, parts, options)
            report, note = _written(job, finished, folder, files, options, progress, key)
        except BaseException:
            _unmake(made)
            raise
    except OSError as error:
        raise ExportError(_sentence(error, job.name, folder)) from error
    there = [*(file.name for file in report.files), report_name(job.name)]
    written = tuple((folder / name, (folder / name).stat().st_size) for name in there)
    return Exported(written, report, _older(job.name, folder, names), left_alone(folder), note)


def _check_folder(job: Job, folder: Path, names: Sequence[str]) -> None:
    """Raise an ExportError where the folder cannot be, or holds what is read under one of the names."""
    if "\0" in str(folder):
        raise ExportError(
            "The name of the folder holds a zero byte, which no disk knows; choose another folder."
        )
    taken = names_being_read(folder, names, (job.sculpt_file, *job.also_read))
    if taken:
        raise ExportError(
            f"The files of {job.name} cannot be written to {folder}, as {taken[0]} there is a sculpt or "
            "recipe that is read; choose another folder, or leave that format out. Nothing was changed there."
        )


def _written(
    job: Job,
    finished: FinishedParts,
    folder: Path,
    files: Sequence[_File],
    options: ExportOptions,
    progress: Progress,
    key: str,
) -> tuple[Report, str]:
    progress.report(0.0, "drawing the picture")
    thumbnail, note = thumbnail_of(finished) if any(file.kind.together for file in files) else (b"", "")
    about = about_hold(job, finished, options, thumbnail)
    with staged(folder) as stage:
        sections = []
        for number, file in enumerate(files):
            progress.report(number / (len(files) + 1), f"writing {file.name}")
            _write(stage / file.name, file, about)
            sections.append(_checked(stage / file.name, file))
        progress.report(len(files) / (len(files) + 1), "writing the report")
        holding: dict[Part, list[str]] = {}
        for file in files:
            for part in file.parts:
                holding.setdefault(part, []).append(file.name)
        report = report_of(job, finished, holding, sections, key)
        if options.sheet is not None:
            progress.report(len(files) / (len(files) + 1), "drawing the work sheet")
            path = stage / options.sheet.name(job.name)
            path.write_bytes(sheet_bytes(job, finished, report.print, options.sheet))
            report = report.model_copy(update={"files": (*report.files, _file_section(path))})
        if options.keep:
            contents, lacking = kept_files(job, finished, folder)
            for name, content in contents.items():
                (stage / name).write_bytes(content)
            kept = tuple(_file_section(stage / name) for name in contents)
            report, note = report.model_copy(update={"files": (*report.files, *kept)}), note or lacking
        (stage / report_name(job.name)).write_bytes(report_text(report))
    with suppress(Cancelled):  # requested too late: the files exist, and nobody is to learn otherwise
        progress.report(1.0, "written")
    return report, note


def _write(path: Path, file: _File, about: About) -> None:
    with path.open("wb") as stream:
        file.kind.write(stream, {part.name: part.mesh for part in file.parts}, about)


def _checked(path: Path, file: _File) -> FileSection:
    """Read a file back and compare every part with the exact solid."""
    try:
        meshes = file.kind.read_back(path)
        problem = (
            "" if len(meshes) == len(file.parts) else f"{len(meshes)} parts in place of {len(file.parts)}"
        )
        for part, mesh in zip(file.parts, meshes, strict=False):
            problem = problem or difference(part, closedness(mesh.vertices, mesh.triangles))
    except (ValueError, IndexError, zipfile.BadZipFile) as error:
        problem = str(error)
    if problem:
        raise ExportError(
            f"{file.name} does not hold what was written when it is read back ({problem}); nothing was "
            "changed. The disk may be failing: try another folder."
        )
    return _file_section(path)


def _file_section(path: Path) -> FileSection:
    content = path.read_bytes()
    return FileSection(name=path.name, bytes=len(content), sha256=hashlib.sha256(content).hexdigest())


def _make(folder: Path) -> list[Path]:
    """Make a folder and those above it; give those that were made, the innermost first."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    return missing


def _unmake(folders: Sequence[Path]) -> None:
    """Take away folders that were made for nothing."""
    for folder in folders:
        try:
            folder.rmdir()
        except OSError:
            return


def _sentence(error: OSError, name: str, folder: Path) -> str:
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT | errno.EFBIG:
            why, remedy = "the disk is full", "make room or choose another folder"
        case errno.ENOTDIR | errno.EEXIST:
            why, remedy = "it, or a part of its path, is a file and not a folder", "choose another folder"
        case errno.EISDIR:
            why, remedy = (
                f"there is a folder of the name {Path(str(error.filename2 or error.filename)).name}",
                "move it away",
            )
        case errno.EACCES | errno.EPERM | errno.EROFS:
            why, remedy = "it may not be written to", "choose another folder, or ask for the right to write"
        case errno.ENAMETOOLONG:
            why, remedy = "the name is too long for the disk", "give the sculpt's file a shorter name"
        case _:
            why, remedy = error.strerror or str(error), "choose another folder"
    return (
        f"The files of {name} cannot be written to {folder}, as {why}; {remedy}. Nothing was changed there."
    )


def _older(name: str, folder: Path, names: Sequence[str]) -> tuple[Path, ...]:
    """Find files of the same hold that stay from an earlier export."""
    possible = [
        each
        for kind in FORMATS.values()
        for each in file_names(name, (WHOLE, SHELL, CORE, *HOLDING_DOWN), kind)
    ]
    possible += [SheetChoice(ending=ending).name(name) for ending in ENDINGS]
    return tuple(folder / each for each in possible if each not in names and (folder / each).is_file())
