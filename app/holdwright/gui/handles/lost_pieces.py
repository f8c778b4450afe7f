"""What a step left out, dropped or cut loose, to be drawn as a ghost where its finding stands in the air."""

from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from holdwright.geometry.arrays import Floats
from holdwright.geometry.mesh.connectivity import triangle_sets
from holdwright.geometry.mesh.frame import move_points
from holdwright.gui.document.document import Document
from holdwright.gui.handles.piece_surfaces import PieceSurfaces
from holdwright.gui.handles.shapes import Mesh
from holdwright.gui.handles.step_solids import frames_of
from holdwright.hold.finding import Finding
from holdwright.pipeline.views.display_results import ShownSculpt, ShownStep

LEFT_OUT: Final = {"ground_block_left_out", "loose_pieces_left_out", "scraps_left_out"}
CUT_OFF: Final = {"piece_dropped", "sliver_left", "hold_parted"}
"""Findings on what is no longer there: pieces of the sculpt, and parts of the hold as it entered the step."""

SAME: Final = 1e-3
"""Vertices this near are the same, mm."""


class LostPieces:
    """Finds what is gone; surfaces made once serve until sculpt or pieces are others.

    A flag is drawn anew with every result, and to thicken a piece takes the window tens of milliseconds.
    """

    def __init__(self, document: Document) -> None:
        self._document = document
        self._of: tuple[object, ...] = ()
        self._surfaces: PieceSurfaces | None = None

    def piece(self, step_id: str, finding: Finding, shown: ShownStep) -> Mesh | None:
        """Give what a finding in the frame of the step shown says is gone; None where none says so."""
        if finding.where is None or finding.code not in LEFT_OUT | CUT_OFF:
            return None
        where = np.array(finding.where)
        if finding.code in CUT_OFF:
            return _cut_off(self._document, step_id, where)
        return self._left_out(where, shown)

    def _left_out(self, where: Floats, shown: ShownStep) -> Mesh | None:
        """Give the piece of the sculpt left out round a place."""
        pieces, sculpt = self._document.pieces, self._document.sculpt
        left = [each for each in pieces.accounts if pieces.why_left(each)]
        if sculpt is None or not left:
            return None
        middles = np.array([(np.array(each.low) + each.high) / 2 for each in left])
        near = left[int(np.argmin(np.linalg.norm(move_points(shown.placement, middles) - where, axis=1)))]
        points, triangles = self._surfaces_of(sculpt).raised([near.name])
        return (move_points(shown.placement, points), triangles) if len(triangles) else None

    def _surfaces_of(self, sculpt: ShownSculpt) -> PieceSurfaces:
        pieces = self._document.pieces
        names, before = [each.name for each in pieces.accounts], self._of
        if (
            self._surfaces is None
            or before[0] is not sculpt
            or before[1] is not pieces.look
            or before[2] != names
        ):
            self._of = (sculpt, pieces.look, names)
            self._surfaces = PieceSurfaces(sculpt, names, pieces.look)
        return self._surfaces


def _cut_off(document: Document, step_id: str, where: Floats) -> Mesh | None:
    """Give the part of the hold round a place that a step did not leave."""
    frames = frames_of(document, step_id)
    if frames.entering is None or frames.shown is None or not frames.own:
        return None
    before, *_ = (solid.surface for solid in frames.entering.solids.values())
    points = move_points(frames.from_entering, before.vertices.astype(np.float64))
    after = cKDTree(np.concatenate([each.surface.vertices for each in frames.shown.solids.values()]))
    # What lay behind the back is stock, not a piece.
    gone = np.isinf(after.query(points, distance_upper_bound=SAME)[0]) & (points[:, 2] >= 0.0)
    lost = before.triangles[gone[before.triangles].all(axis=1)].astype(np.int64)
    if not len(lost):
        return None
    away = np.linalg.norm(points[lost].mean(axis=1) - where, axis=1)
    sets = triangle_sets(lost)
    return points, lost[sets == sets[int(np.argmin(away))]]
