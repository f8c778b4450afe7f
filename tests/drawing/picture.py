"""Pictures of a hold, drawn without a window."""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

import numpy as np
from PIL import Image

from drawing.camera import Camera, camera_for, frame_of
from drawing.colour import (
    INK,
    LIMESTONE,
    LIMESTONE_CUT,
    PAPER_FOOT,
    PAPER_TOP,
    TEAL,
    TEAL_CUT,
    decoded,
    encoded,
    linear,
)
from drawing.line_art import ink
from drawing.lit_surface import BODY, CORE_BODY, CUT, WALL, LitSurface, lit_surface
from drawing.rasteriser import Bytes, FrameBuffer
from holdwright.errors import ExportError, ParameterError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.solid import Solid

_FINER: Final = 2
"""The picture is drawn so many times finer, then averaged."""
_EXPOSURE: Final = 1.9
_BRIGHTEST: Final = 1.5


def save_picture(image: Bytes, path: Path) -> None:
    """Write a (height, width, 3) picture as PNG.

    Raises
    ------
    ExportError
        When the file cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        Image.fromarray(image).save(path, format="PNG", optimize=True)
    except OSError as reason:
        raise ExportError(f"The picture cannot be written to {path}: {reason.strerror}.") from None


def drawn(
    solids: Mapping[str, Solid],
    view: str = "three_quarter",
    size: tuple[int, int] = (1200, 900),
    *,
    section: float | None = None,
    apart: float = 0.0,
    wall: bool = True,
) -> Bytes:
    """Draw solids.

    Parameters
    ----------
    solids
        By name, in mm in the hold's frame: back on z = 0, up +y. "core" is drawn in teal, all others in
        limestone.
    view
        "front" (as on the wall), "above", "three_quarter", "below", "side" or "back".
    size
        Width and height in pixels.
    section
        Cut everything along the plane x = `section` (mm; the bore's axis, say) and show the half on the
        side of -x, the cut faces in lighter tones and hatched.
    apart
        How far (mm) the core is moved out of the shell, toward the wall.
    wall
        Whether the hold's shadow falls on a wall, where the view looks at one.

    Returns
    -------
    (height, width, 3) uint8.

    Raises
    ------
    ParameterError
        When there is no such view, or nothing to draw.
    ExportError
        When the machine has no OpenGL.
    """
    if not solids:
        raise ParameterError("A picture was asked for, but there is no solid to draw.")
    if min(size) < 1:
        raise ParameterError(
            f"A picture of {size[0]} by {size[1]} pixels was asked for; give at least 1 by 1."
        )
    frame = frame_of(view)
    faces_wall = bool(frame[2, 2] > 0.3)
    light = np.eye(3) if faces_wall else frame
    scene = lit_surface(solids, light, section=section, apart=apart, wall=wall and faces_wall)
    return _composed(scene, camera_for(scene.shown, view, size), (size[0] * _FINER, size[1] * _FINER))


def _composed(scene: LitSurface, camera: Camera, pixels: tuple[int, int]) -> Bytes:
    corner = scene.surface.triangles.reshape(-1)
    screen = FrameBuffer(scene.surface.points[corner], pixels)
    try:
        screen.look(camera)
        part = screen.colours(_grey(scene.surface.part.repeat(3)))[..., 0]
        depth = screen.depth(drawn=True)
        normal = screen.colours(_bytes((scene.surface.normals[corner] + 1) * 127.5)) / 127.5 - 1
        level = screen.colours(_grey(_bytes(encoded(scene.light[corner] / _BRIGHTEST))))[..., 0]
    finally:
        screen.close()
    image = _painted(part, _BRIGHTEST * decoded(level), _paper(pixels))
    normal /= np.maximum(np.linalg.norm(normal, axis=-1, keepdims=True), 1e-9)
    lines = ink(depth, np.where(part == WALL, 0, part), normal, jump=camera.half_height * 0.02)[..., None]
    return _averaged(image * (1 - lines) + linear(INK) * lines)


def _painted(part: Bytes, light: Floats, paper: Floats) -> Floats:
    """Colour every pixel in linear light."""
    image = paper.copy()
    shadow = part == WALL
    image[shadow] *= (0.45 + 0.55 * np.clip(light[shadow], 0, 1))[:, None]
    for code, colour in ((BODY, LIMESTONE), (CORE_BODY, TEAL)):
        seen = part == code
        image[seen] = linear(colour) * (_EXPOSURE * light[seen] + 0.07)[:, None]
    for code, colour, slope in ((CUT + BODY, LIMESTONE_CUT, 1), (CUT + CORE_BODY, TEAL_CUT, -1)):
        seen = part == code
        image[seen] = linear(colour) * _hatching(part.shape, slope)[seen][:, None]
    return image


def _hatching(shape: tuple[int, ...], slope: int) -> Floats:
    """Fine slanted lines over a cut face, as on a drawing."""
    row, column = np.indices(shape)
    spacing = max(max(shape) // 90, 4)
    return np.where((row * slope + column) % spacing < max(spacing // 9, 1), 0.72, 1.0)


def _paper(pixels: tuple[int, int]) -> Floats:
    share = np.linspace(0.0, 1.0, pixels[1])[:, None, None]
    return np.repeat(linear(PAPER_TOP) * (1 - share) + linear(PAPER_FOOT) * share, pixels[0], axis=1)


def _bytes(values: Floats) -> Bytes:
    return np.rint(values).astype(np.uint8)


def _grey(level: Bytes) -> Bytes:
    return np.repeat(level[:, None], 3, axis=1)


def _averaged(image: Floats) -> Bytes:
    height, width = image.shape[0] // _FINER, image.shape[1] // _FINER
    return _bytes(encoded(image.reshape(height, _FINER, width, _FINER, 3).mean(axis=(1, 3))))
