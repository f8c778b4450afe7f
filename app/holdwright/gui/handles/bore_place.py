"""A step's bores as the hand moves them: on the hold's columns, each seated as the step itself will."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

import numpy as np

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import HoldwrightError
from holdwright.geometry.arrays import Floats
from holdwright.geometry.hole.bore import BoreShape
from holdwright.geometry.hole.bore_site import BoreSite
from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.handles.hold_columns import DepthMap
from holdwright.gui.handles.shapes import SIDES, Mesh, turned
from holdwright.operations.bore_parameters import CutBoreParameters
from holdwright.operations.bore_plan import BorePlan
from holdwright.pipeline.display_results import Surface

CLEAR: Final = 1.0
"""The cutter is drawn as far above the surface, mm."""

_UP: Final = np.array([0.0, 0.0, 1.0])


class BoreGround:
    """The hold as it enters the step.

    Attributes
    ----------
    surface
        mm, finished back on z = 0.
    """

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self.depths = DepthMap.of(surface)
        self._points = surface.vertices.astype(np.float64)
        self._triangles = surface.triangles.astype(np.int64)

    def site(self, shape: BoreShape) -> BoreSite:
        """Give the columns along a bore's axis."""
        if shape.upright:
            return self.depths.site(shape)
        return BoreSite.of_surface(self._points, self._triangles, shape)


@dataclass(frozen=True)
class SeatedBore:
    """A bore with its seat where it is now, mm, and the columns round it."""

    shape: BoreShape
    site: BoreSite = field(compare=False, repr=False)

    @property
    def under(self) -> float:
        """Least thickness under the seat's ring, mm; 0 where part of it has no material."""
        low, _ = self.site.stretch(max(self.shape.seat - 1e-3, 0.0))
        ring = self.site.ring
        if not ring.any() or np.isnan(low[ring]).any():
            return 0.0
        return self.shape.seat - self.site.under(low, ring)[0]

    @property
    def surface(self) -> float:
        """Distance from the foot to the surface, along the axis."""
        return float(self._tops(np.zeros((1, 2)))[0])

    @property
    def foot(self) -> Floats:
        """(3,) on the finished back."""
        return self.shape.on_axis(0.0)

    @property
    def top(self) -> Floats:
        """Where the axis leaves the hold (3,)."""
        return self.shape.on_axis(max(self.surface, self.shape.seat + CLEAR))

    @property
    def rim(self) -> Floats:
        """The pocket's edge as it lies on the surface: a closed polyline (n, 3)."""
        line = self._outline(self.shape.pocket_diameter / 2)
        return self._placed(line, np.maximum(self._tops(line), self.shape.seat))

    @property
    def seat_ring(self) -> Floats:
        """The edge of what presses on the seat: a closed polyline (n, 3)."""
        line = self._outline(self.shape.ring_diameter / 2)
        height = self.shape.seat
        if self.shape.cone_angle is not None:
            # A head lies in its cone as far up as it is wide.
            wider = self.shape.ring_diameter - self.shape.clearance_diameter
            height += (
                self.shape.cone_height * wider / (self.shape.pocket_diameter - self.shape.clearance_diameter)
            )
        return self._placed(line, np.full(len(line), height))

    @property
    def cutter(self) -> Mesh:
        """What the bore takes away, as a surface."""
        shape = self.shape
        hole, pocket, mouth = shape.clearance_diameter / 2, shape.pocket_diameter / 2, shape.seat
        mouth += shape.cone_height
        edge = self._tops(self._outline(pocket))
        end = max(self.surface, float(edge.max()), mouth) + CLEAR
        profile = [(hole, 0.0), (hole, shape.seat), (pocket, mouth), (pocket, end)]
        points, triangles = turned(profile, np.zeros(3), _UP, SIDES)
        return move_points(self.site.from_bore, self._drawn_out(points)), triangles

    def _outline(self, radius: float) -> Floats:
        """Give a circle, or a slot's outline, in the bore's frame: closed, (n, 2)."""
        angle = (np.arange(SIDES) + 0.5) * (2 * np.pi / SIDES)
        line = radius * np.column_stack([np.cos(angle), np.sin(angle), np.zeros(SIDES)])
        line = self._drawn_out(line)[:, :2]
        return np.vstack([line, line[:1]])

    def _drawn_out(self, points: Floats) -> Floats:
        """Move both halves of what was turned apart along the slot."""
        if self.shape.slot == 0.0:
            return points
        way = np.array([*self.shape.slot_way, 0.0])
        return np.asarray(points + np.outer(np.sign(points @ way), self.shape.slot / 2 * way))

    def _placed(self, line: Floats, heights: Floats) -> Floats:
        return move_points(self.site.from_bore, np.column_stack([line, heights]))

    def _tops(self, places: Floats) -> Floats:
        """Height (n,) of the material's top over places (n, 2) in the bore's frame; 0 beside the hold."""
        grid = self.site.columns.grid
        _, high = self.site.columns.first
        cell = np.rint((places - (grid.x, grid.y)) / grid.step).astype(int)
        inside = ((cell >= 0) & (cell < (grid.columns, grid.rows))).all(axis=1)
        tops = np.zeros(len(places))
        tops[inside] = np.nan_to_num(high[cell[inside, 1], cell[inside, 0]], nan=0.0)
        return tops


@dataclass(frozen=True)
class Place:
    """A step's bores as the hand moves them.

    Attributes
    ----------
    values
        As the recipe would have them.
    x, y
        Where the bore is, or the middle of several.
    bores
        In the order of the row.
    """

    values: CutBoreParameters
    x: float
    y: float
    bores: tuple[SeatedBore, ...]

    @property
    def shape(self) -> BoreShape:
        """The first bore."""
        return self.bores[0].shape

    @classmethod
    def of(
        cls, values: CutBoreParameters, x: float, y: float, catalogue: Catalogue, ground: BoreGround
    ) -> "Place | None":
        """Seat the bores as the step will; None where the catalogue has no such rows."""
        try:
            plan = BorePlan.of(values, catalogue)
        except HoldwrightError:
            return None
        bores = []
        for shape in plan.shapes(x, y):
            site = ground.site(shape)
            try:
                _, seat = site.seat_heights(plan.rule)
            except HoldwrightError:
                seat = values.under_seat
            bores.append(SeatedBore(replace(shape, seat=seat), site))
        return cls(values, x, y, tuple(bores))

    def with_values(self, changes: Mapping[str, Any], catalogue: Catalogue, ground: BoreGround) -> "Place":
        """Change some of the recipe's values."""
        values = self.values.model_copy(update=dict(changes))
        return Place.of(values, self.x, self.y, catalogue, ground) or self

    def moved(self, x: float, y: float, catalogue: Catalogue, ground: BoreGround) -> "Place":
        """Move the bores, staying on the back with each of them."""
        for bore in self.bores:
            along, up = bore.shape.x - self.x, bore.shape.y - self.y
            to_x, to_y = ground.depths.on_back(x + along, y + up)
            x, y = to_x - along, to_y - up
        x, y = round(x, 2) + 0.0, round(y, 2) + 0.0
        return Place.of(self.values, x, y, catalogue, ground) or self
