"""Reads a sculpt's file, whatever of the formats it has."""

import hashlib
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from holdwright.errors import InputError
from holdwright.files.format_detection import Format, recognise
from holdwright.files.read_3mf import read_3mf
from holdwright.files.read_error import Unreadable
from holdwright.files.read_glb import read_glb
from holdwright.files.read_obj import read_obj
from holdwright.files.read_ply import read_ply
from holdwright.files.read_stl import read_binary_stl, read_text_stl
from holdwright.files.surface import RawSurface, sculpt_of
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.progress import SILENT, Progress

LARGEST = 4 << 30
"""Most bytes read, well above the 0.2 GiB of a text file of two million triangles."""

_FEWER = "export it with fewer triangles"
_READERS: dict[Format, Callable[[bytes, Progress], RawSurface]] = {
    "OBJ": read_obj,
    "binary STL": read_binary_stl,
    "text STL": read_text_stl,
    "PLY": read_ply,
    "3MF": read_3mf,
    "GLB": read_glb,
    "glTF": read_glb,
}


def read_sculpt(path: Path, progress: Progress = SILENT) -> Sculpt:
    """Read a sculpt from an OBJ, STL, PLY, 3MF or glTF file; its content decides which it is.

    Parameters
    ----------
    path
        The file.
    progress
        Told how far the reading has come.

    Returns
    -------
    The sculpt, in the file's own unit and frame, near the origin (see `surface.sculpt_of`).

    Raises
    ------
    InputError
        When the file is missing, is none of these formats, is damaged, or holds no mesh.
    """
    progress.report(0.0, "reading the sculpt")
    try:
        content = _bytes_of(path)
        kind = recognise(content, path.suffix.lower())
        with ThreadPoolExecutor(1) as other:
            digest = other.submit(lambda: hashlib.blake2b(content, digest_size=16).hexdigest())
            surface = _READERS[kind](content, progress)
            sculpt = sculpt_of(surface, path.stem, digest.result(), kind.split()[-1])
    except Unreadable as fault:
        raise InputError(
            f"Cannot read {path.name or path.absolute()}: {fault.found}; {fault.advice}."
        ) from None
    except MemoryError:
        raise InputError(
            f"Cannot read {path.name or path.absolute()}: it needs more memory than there is; {_FEWER}."
        ) from None
    progress.report(1.0, "reading the sculpt")
    return sculpt


def _bytes_of(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise Unreadable("it is a folder", "give the file of the sculpt itself")
        size = path.stat().st_size
        if not path.is_file():
            raise Unreadable("it is not an ordinary file", "give the file of the sculpt itself")
        if size > LARGEST:
            raise Unreadable(
                f"it has {size / 2**30:.1f} GiB, and more than {LARGEST >> 30} are not read", _FEWER
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise Unreadable(
            f"there is no such file in {path.absolute().parent}", "check the name and the folder"
        ) from None
    except OSError as error:
        raise Unreadable(f"the system says: {error.strerror}", "check that you may read it") from None
    except ValueError:  # NUL, or a letter that the system's names cannot have
        raise Unreadable("no file can have such a name", "check the name") from None
