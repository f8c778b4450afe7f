"""Writes the files of one finished hold: all of them, checked, or none."""

import errno
import hashlib
import zipfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from holdwright.errors import Cancelled, ExportError
from holdwright.export.formats import DEFAULT_FORMATS, FORMATS, FileFormat, chosen_formats, file_name
from holdwright.export.input_conflicts import refuse_to_replace
from holdwright.export.parts import Part, difference, finished_parts
from holdwright.export.report import FileSection, Report, report_text
from holdwright.export.report_writing import Job, report_of
from holdwright.export.staging import left_alone, staged
from holdwright.geometry.mesh.closedness import closedness
from holdwright.hold.hold import CORE, SHELL, WHOLE
from holdwright.progress import SILENT, Progress

__all__ = ["REPORT_ENDING", "Exported", "Job", "export"]

REPORT_ENDING: Final = "report.json"


@dataclass(frozen=True)
class Exported:
    """What was written.

    Attributes
    ----------
    files
        Paths of all files, the report last.
    report
        What the report says.
    older
        Paths of files of the same hold that an earlier export wrote and this one did not.
    left_alone
        Paths of what looks like an unfinished export into the same folder, but is not known to be ours.
    """

    files: tuple[Path, ...]
    report: Report
    older: tuple[Path, ...]
    left_alone: tuple[Path, ...] = ()


@dataclass(frozen=True)
class _Sheet:
    """A file to write: its name, format and parts."""

    name: str
    kind: FileFormat
    parts: tuple[Part, ...]


def export(
    job: Job,
    folder: Path,
    formats: Sequence[str] = DEFAULT_FORMATS,
    progress: Progress = SILENT,
    parts: Sequence[str] | None = None,
) -> Exported:
    """Write the files of a finished hold and its report.

    Parameters
    ----------
    folder
        Made where it is not there. Files of the same names are replaced, all together.
    formats
        Names from `FORMATS`.
    parts
        Names of the solids to write; None for all.

    Raises
    ------
    ExportError
        When the files cannot be written, would replace one that is read, or do not hold what they should when
        read back. All files that were in the folder are as they were.
    ParameterError, RecipeError, GeometryError
        When a format or a part is not known, or there is no solid of true size to write.
    """
    kinds = chosen_formats(formats)
    finished = finished_parts(job.replay.hold, parts)
    sheets = _sheets(job.name, finished, kinds)
    names = [sheet.name for sheet in sheets] + [f"{job.name}.{REPORT_ENDING}"]
    if "\0" in str(folder):
        raise ExportError(
            "The name of the folder holds a zero byte, which no disk knows; choose another folder."
        )
    refuse_to_replace(job.name, folder, names, (job.sculpt_file, *job.also_read))
    holding = {part.name: tuple(sheet.name for sheet in sheets if part in sheet.parts) for part in finished}
    try:
        made = _make(folder)
        try:
            report = _written(job, folder, sheets, finished, holding, progress)
        except BaseException:
            _unmake(made)
            raise
    except OSError as error:
        raise ExportError(_sentence(error, job.name, folder)) from error
    paths = tuple(folder / name for name in names)
    return Exported(paths, report, _older(job.name, folder, names), left_alone(folder))


def _sheets(name: str, parts: tuple[Part, ...], kinds: Sequence[FileFormat]) -> list[_Sheet]:
    sheets = []
    for kind in kinds:
        if kind.together:
            sheets.append(_Sheet(file_name(name, None, kind), kind, parts))
        else:
            sheets += [_Sheet(file_name(name, part.name, kind), kind, (part,)) for part in parts]
    return sheets


def _written(
    job: Job,
    folder: Path,
    sheets: Sequence[_Sheet],
    parts: Sequence[Part],
    holding: Mapping[str, Sequence[str]],
    progress: Progress,
) -> Report:
    with staged(folder) as stage:
        files = []
        for number, sheet in enumerate(sheets):
            progress.report(number / (len(sheets) + 1), f"writing {sheet.name}")
            _write(stage / sheet.name, sheet, job.name)
            files.append(_checked(stage / sheet.name, sheet))
        progress.report(len(sheets) / (len(sheets) + 1), "writing the report")
        report = report_of(job, parts, holding, files)
        (stage / f"{job.name}.{REPORT_ENDING}").write_bytes(report_text(report))
    with suppress(Cancelled):  # asked too late: the files are there, and nobody is to be told otherwise
        progress.report(1.0, "written")
    return report


def _write(path: Path, sheet: _Sheet, title: str) -> None:
    with path.open("wb") as stream:
        sheet.kind.write(stream, {part.name: part.mesh for part in sheet.parts}, title)


def _checked(path: Path, sheet: _Sheet) -> FileSection:
    """Read a file back and compare every part with the exact solid."""
    try:
        meshes = sheet.kind.read_back(path)
        problem = (
            "" if len(meshes) == len(sheet.parts) else f"{len(meshes)} parts in place of {len(sheet.parts)}"
        )
        for part, mesh in zip(sheet.parts, meshes, strict=False):
            problem = problem or difference(part, closedness(mesh.vertices, mesh.triangles))
    except (ValueError, IndexError, zipfile.BadZipFile) as error:
        problem = str(error)
    if problem:
        raise ExportError(
            f"{sheet.name} does not hold what was written when it is read back ({problem}); nothing was "
            "changed. The disk may be failing: try another folder."
        )
    content = path.read_bytes()
    return FileSection(name=sheet.name, bytes=len(content), sha256=hashlib.sha256(content).hexdigest())


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
        file_name(name, None if kind.together else part, kind)
        for kind in FORMATS.values()
        for part in (WHOLE, SHELL, CORE)
    ]
    return tuple(
        folder / each for each in dict.fromkeys(possible) if each not in names and (folder / each).is_file()
    )
