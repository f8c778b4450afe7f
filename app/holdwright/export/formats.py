"""The formats a hold can be written in."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from holdwright.errors import ParameterError
from holdwright.export.read_back import read_3mf_back, read_obj_back, read_ply_back, read_stl_back
from holdwright.files.write_3mf import About, write_3mf
from holdwright.files.writing import write_obj, write_ply, write_stl
from holdwright.geometry.mesh.single_precision import PrintedMesh

Meshes = Mapping[str, PrintedMesh]


@dataclass(frozen=True)
class FileFormat:
    """One format."""

    ending: str
    """Of its files, without the point."""
    together: bool
    """Whether one file holds all parts; else each part has a file of its own."""
    write: Callable[[BinaryIO, Meshes, About], None]
    """Takes the stream, the parts by name (one where not `together`), and what the file is to say of them."""
    read_back: Callable[[Path], list[PrintedMesh]]
    """Gives the meshes of such a file, in the order written."""


def _alone(write: Callable[[BinaryIO, PrintedMesh], None]) -> Callable[[BinaryIO, Meshes, About], None]:
    """Make a writer of one mesh, which says nothing of it, take the one part of a file."""
    return lambda stream, meshes, _: write(stream, *meshes.values())


def _obj(stream: BinaryIO, meshes: Meshes, about: About) -> None:
    for name, mesh in meshes.items():
        write_obj(stream, mesh, f"{about.title}-{name}")


FORMATS: Final[Mapping[str, FileFormat]] = {
    each.ending: each
    for each in (
        FileFormat("stl", together=False, write=_alone(write_stl), read_back=read_stl_back),
        FileFormat("3mf", together=True, write=write_3mf, read_back=read_3mf_back),
        FileFormat("obj", together=False, write=_obj, read_back=read_obj_back),
        FileFormat("ply", together=False, write=_alone(write_ply), read_back=read_ply_back),
    )
}
"""By name."""

DEFAULT_FORMATS: Final = ("stl", "3mf")


def chosen_formats(names: Sequence[str]) -> tuple[FileFormat, ...]:
    """Give the formats of these names, each once.

    Raises
    ------
    ParameterError
        When one is not known, or none is named.
    """
    requested = list(dict.fromkeys(name.strip().lower() for name in names if name.strip()))
    unknown = [name for name in requested if name not in FORMATS]
    if unknown or not requested:
        offending = ", ".join(unknown) or "nothing"
        raise ParameterError(
            f"{offending} is not a format that can be written; choose from {', '.join(FORMATS)}."
        )
    return tuple(FORMATS[name] for name in requested)
