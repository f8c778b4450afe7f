"""The model part of a 3MF package: objects made of a mesh or of components, and what is to be built of them.

Source: 3MF Core Specification 1.3, 3 (coordinates and units) and 4 (objects). Metadata, materials and colours
are passed over.
"""

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from holdwright.files.instances import is_flat
from holdwright.files.numbers import number
from holdwright.files.read_error import Unreadable, excerpt
from holdwright.geometry.arrays import Floats, Indices

CORE: Final = "http://schemas.microsoft.com/3dmanufacturing/core/2015/02"
HARMLESS: Final = {
    CORE: "core",
    "http://schemas.microsoft.com/3dmanufacturing/material/2015/02": "materials and properties",
    "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07": "triangle sets",
}
"""Extensions that leave shapes as they are, so that a file may require them."""

UNITS: Final = ("micron", "millimeter", "centimeter", "inch", "foot", "meter")
TYPES: Final = ("model", "solidsupport", "support", "surface", "other")


@dataclass
class Part:
    """An object of the model: a mesh, or components."""

    number: int
    name: str
    kind: str
    vertices: list[Floats] = field(default_factory=list)
    triangles: list[Indices] = field(default_factory=list)
    components: list[tuple[int, Floats]] = field(default_factory=list)

    @property
    def label(self) -> str:
        """What messages call it."""
        return f"object {self.number}" + (f" ({excerpt(self.name.encode())})" if self.name else "")


@dataclass
class Model:
    """What a model part says.

    Attributes
    ----------
    parts
        All objects by their number.
    items
        What is to be built: objects' numbers and (4, 4) placements.
    notes
        Sentences for the user.
    """

    unit: str = "millimeter"
    parts: dict[int, Part] = field(default_factory=dict)
    items: list[tuple[int, Floats]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def number_of(given: dict[str, str], key: str, whose: str) -> int:
    """Read a number that objects are told apart by.

    Parameters
    ----------
    given
        The attributes of an element.
    whose
        What the element is, for a message.
    """
    text = given.get(key, "").strip()
    if not (text.isascii() and text.isdigit()) or not 0 < int(text[:11]) < 2**31:
        raise Unreadable(f"{whose} has the {key} {excerpt(text.encode())}, which is no number from 1 up")
    return int(text)


def placement_of(given: dict[str, str], whose: str) -> Floats:
    """Read the (4, 4) placement an element gives, none being the identity."""
    placement = np.eye(4)
    if "transform" not in given:
        return placement
    words = given["transform"].split()
    if len(words) != 12:
        raise Unreadable(f"the transform of {whose} has {len(words)} numbers instead of 12")
    placement[:, :3] = np.array([number(word.encode()) for word in words]).reshape(4, 3)
    if not np.isfinite(placement).all():
        raise Unreadable(f"the transform of {whose} holds what is no finite number")
    if is_flat(placement):
        raise Unreadable(f"the transform of {whose} flattens it")
    return placement
