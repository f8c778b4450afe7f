"""What cannot be written: a sentence, and nothing changed in the folder."""

import errno
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import finished
import shapes
from holdwright.errors import Cancelled, ExportError, GeometryError, ParameterError, RecipeError
from holdwright.export import job as job_module
from holdwright.export.formats import FORMATS
from holdwright.export.job import export
from holdwright.export.options import ExportOptions
from holdwright.geometry.mesh.frame import placement
from holdwright.hold.hold import WHOLE
from holdwright.progress import Progress
from holdwright.sheet.choice import SheetChoice
from mesh_files import names_in


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")
    for folder in (tmp_path / "taken", tmp_path / "taken" / "below"):
        with pytest.raises(ExportError, match="is a file and not a folder"):
            export(finished.job(), folder)
    assert (tmp_path / "taken").read_text() == "mine"


def test_a_folder_no_disk_knows(tmp_path: Path) -> None:
    with pytest.raises(ExportError, match="zero byte"):
        export(finished.job(), tmp_path / "a\0b")


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="needs a folder nobody may write to")
def test_a_folder_nobody_may_write_to() -> None:
    with pytest.raises(ExportError, match="cannot be written to"):
        export(finished.job(), Path("/proc/self/finished"))


def test_a_full_disk_changes_nothing(tmp_path: Path) -> None:
    resource = pytest.importorskip("resource")
    export(finished.job(), tmp_path, ["stl"])
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (50_000, hard))
    try:
        with pytest.raises(ExportError, match="disk is full"):
            export(finished.job(shrinkage=1.0), tmp_path)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_stop_asked_for_once_the_files_are_there_comes_too_late(tmp_path: Path) -> None:
    there = tmp_path / "boulder.report.json"
    written = export(finished.job(), tmp_path, progress=Progress(cancelled=there.exists))
    assert there in dict(written.files)
    with pytest.raises(Cancelled):
        export(finished.job(), tmp_path, progress=Progress(cancelled=there.exists))


def test_a_new_folder_is_taken_away_again_on_failure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(job_module, "_write", full)
    with pytest.raises(ExportError, match="disk is full"):
        export(finished.job(), tmp_path / "new" / "newer")
    assert names_in(tmp_path) == []


@pytest.mark.parametrize("ending", list(FORMATS))
@pytest.mark.parametrize("damage", ["cut", "bit"])
def test_a_file_that_reads_back_wrong_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ending: str, damage: str
) -> None:
    write = job_module._write

    def failing(path: Path, *rest: Any) -> None:
        write(path, *rest)
        data = bytearray(path.read_bytes())
        middle = len(data) // 2
        if damage == "cut":
            data = data[:middle]
        else:
            data[middle : middle + 12] = bytes(byte ^ 0x15 for byte in data[middle : middle + 12])
        path.write_bytes(data)

    export(finished.job(), tmp_path, [ending])
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    monkeypatch.setattr(job_module, "_write", failing)
    with pytest.raises(ExportError, match="read back"):
        export(finished.job(), tmp_path, [ending])
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_unknown_formats() -> None:
    with pytest.raises(ParameterError, match="choose from stl, 3mf, obj, ply"):
        export(finished.job(), Path("nowhere"), ["step"])
    with pytest.raises(ParameterError, match="nothing is not a format"):
        export(finished.job(), Path("nowhere"), [" "])


def test_a_hold_of_no_true_size(tmp_path: Path) -> None:
    with pytest.raises(RecipeError, match="no true size"):
        export(finished.job(sized=False), tmp_path)
    assert names_in(tmp_path) == []


def test_no_solid(tmp_path: Path) -> None:
    with pytest.raises(GeometryError, match="no solid"):
        export(finished.job(parts={}), tmp_path)


def test_a_solid_lost_in_single_precision(tmp_path: Path) -> None:
    """A plate of 0.01 mm, 1 km off: single precision has steps of 0.06 mm there."""
    plate = shapes.block(50, 50, 0.01).moved(placement(shift=np.full(3, 1e6)))
    with pytest.raises(GeometryError, match="single precision"):
        export(finished.job(parts={WHOLE: plate}), tmp_path, options=ExportOptions("wall"))
    assert names_in(tmp_path) == []


@pytest.mark.parametrize("parts", [[], ["whole"], ["shell", "lid"]])
def test_parts_that_are_not_there(tmp_path: Path, parts: list[str]) -> None:
    with pytest.raises(ParameterError, match="shell, core"):
        export(finished.job(), tmp_path / "out", parts=parts)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("trouble", ["folder", "full disk"])
def test_a_sheet_that_cannot_be_written_is_a_sentence_and_leaves_nothing(tmp_path, monkeypatch, trouble):
    sheet = tmp_path / "out" / "boulder.sheet.pdf"
    if trouble == "folder":
        sheet.mkdir(parents=True)
    else:

        def full(*_: object) -> bytes:
            raise OSError(errno.ENOSPC, "No space left on device")

        monkeypatch.setattr(job_module, "sheet_bytes", full)
    with pytest.raises(ExportError) as told:
        export(finished.job(), sheet.parent, ["stl"], options=ExportOptions(sheet=SheetChoice()))
    assert "cannot be written" in str(told.value)
    assert ("folder of the name boulder.sheet.pdf" if trouble == "folder" else "disk is full") in str(
        told.value
    )
    assert str(told.value).endswith("Nothing was changed there.")
    assert names_in(tmp_path) == (["out"] if trouble == "folder" else [])
    assert trouble == "full disk" or names_in(sheet.parent) == ["boulder.sheet.pdf"]
