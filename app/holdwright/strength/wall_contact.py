"""A hold bolted to its wall: the wall only presses, bolts pull on their seats.

The wall is a bed of springs that press where the back sinks into it and let go where it lifts. Bolts are
tightened without friction, as the joint reckons it; what presses then also holds the back along the wall
under a load, as friction does that does not slip. A bolt pulls evenly on its seat, with its preload, and
with more of it as the seat rises; its head does not keep the seat from tilting.

References
----------
Winkler, "Die Lehre von der Elastizitaet und Festigkeit", 1867, for the bed; Johnson, "Contact mechanics",
1985, section 4.2, for contact without tension as the least energy.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array, vstack

from holdwright.geometry.arrays import Floats, Mask
from holdwright.progress import SILENT, Progress
from holdwright.strength.back_and_seat import back_points
from holdwright.strength.conjugate_gradients import TOLERANCE
from holdwright.strength.elastic_model import ElasticBody, ElasticModel, Springs, Ties
from holdwright.strength.placing import PlacedPoints

LOOSE = 1e-5
"""Of the wall's stiffness: what holds the back even where it lifts, so that a hold that nothing clamps moves
far rather than freely."""

LEFT = (3e-3, 1e-4, TOLERANCE)
"""What may be left of the forces before what presses is looked at, to go on with that in mind."""

CHANGED = 0.03
"""Of the back's area: where what presses differs in less from what was thought, that goes on."""


@dataclass(frozen=True, eq=False)
class PulledSeat:
    """A bolt seen from the hold: where it pulls, and how."""

    place: PlacedPoints
    shares: Floats
    """(k,) of its pull at each point; sum 1."""
    preload: float
    """N, with the hold on the wall and not loaded."""
    stiffness: float
    """N/mm: how much more it pulls as its seat rises."""


@dataclass(frozen=True, eq=False)
class OnTheWall:
    """How a hold that is loaded stands on its wall, for c cases of load."""

    moved: Floats
    """(3 n, c) displacements of all nodes, mm; what tightening the bolts causes is in them."""
    pressure: Floats
    """(k, c) on each point of the back, MPa."""
    areas: Floats
    """(k,) of the points, mm2."""
    bolts: Floats
    """(b, c) pull of each bolt, N."""
    steps: int
    """Iterations of the conjugate gradients in all cases."""

    @property
    def pressed_share(self) -> Floats:
        """(c,) share of the back that presses."""
        return np.asarray(self.areas @ (self.pressure > 0.0) / self.areas.sum())


class MountedHold:
    """A hold on its wall, its bolts tightened.

    Parameters
    ----------
    body
        Its stiffness; the finished back on z = 0.
    wall
        Pressure that it takes to sink 1 mm into the wall, MPa/mm.
    bolts
        That hold it; where there are none, loads alone press it on the wall.
    grip
        Stiffness of what presses along the wall, by that square to it.

    Raises
    ------
    GeometryError
        When it has no flat back on z = 0.
    """

    def __init__(
        self,
        body: ElasticBody,
        wall: float,
        bolts: Sequence[PulledSeat] = (),
        grip: float = 0.5,
        progress: Progress = SILENT,
    ) -> None:
        self.body = body
        self.back, self._areas = back_points(body.cells)
        self._wall, self._grip = wall, grip
        self._preload = np.array([bolt.preload for bolt in bolts])
        rows = [csr_array(bolt.shares[None, :]) @ bolt.place.heights(body.cells) for bolt in bolts]
        size = 3 * body.cells.mesh.node_count
        self._ties = Ties(
            csr_array(vstack(rows)) if rows else csr_array((0, size)),
            np.array([bolt.stiffness for bolt in bolts]),
        )
        self._pressed = np.ones(len(self._areas), dtype=np.bool_)
        moved, steps = np.zeros(size), 0
        if bolts:
            forces = -(self._ties.mean.T @ self._preload)
            model = ElasticModel(body, self._grips(np.zeros(len(self._areas))), self._bed)
            moved, steps = self._balanced(model, forces, moved, progress.part(0.2, 0.8))
            self._pressed = self._sinks(moved)
        self.tightened = self._told([moved], self._preload[:, None], steps)
        grips = self._grips(self._pressed.astype(np.float64))
        self._loadable = ElasticModel(body, grips, self._bed, self._ties, self._pressed)
        self._risen = self._pull_more(moved)
        # Bolts and grips begin to resist where tightening has left the hold.
        at_back = self.back.matrix(body.cells)
        gripped = at_back.T @ (grips.stiffness * (at_back @ moved.reshape(-1, 3)))
        self._held = self._ties.mean.T @ (self._risen - self._preload) + gripped.ravel()

    def loaded(self, forces: Sequence[Floats], progress: Progress = SILENT) -> OnTheWall:
        """Give the hold under loads.

        Parameters
        ----------
        forces
            (3 n,) on all nodes for each of c cases, N; the pull of the bolts is not among them.
        """
        before = self.tightened.moved[:, 0]
        found, pulls, steps = list[Floats](), list[Floats](), 0
        for number, each in enumerate(forces):
            part = progress.part(number / len(forces), (number + 1) / len(forces))
            moved, count = self._balanced(self._loadable, each + self._held, before, part)
            found.append(moved)
            pulls.append(self._preload - self._risen + self._pull_more(moved))
            steps += count
        return self._told(found, np.stack(pulls, axis=1), steps)

    def _balanced(
        self, model: ElasticModel, forces: Floats, moved: Floats, progress: Progress
    ) -> tuple[Floats, int]:
        """Give where forces (3 n,) are in balance (3 n,), and the iterations that took."""
        thought, steps = self._pressed, 0
        for number, left in enumerate(LEFT):
            part = progress.part(number / len(LEFT), (number + 1) / len(LEFT))
            solved = model.solve(forces, moved, left, part)
            moved, steps = solved.moved, steps + solved.steps
            pressed = self._sinks(moved)
            changed = self._areas @ (pressed != thought) > CHANGED * self._areas.sum()
            if changed and left > TOLERANCE:
                model, thought = model.guessing(pressed), pressed
        return moved, steps

    def _pull_more(self, moved: Floats) -> Floats:
        """Give how much more bolts (b,) pull with their seats risen, N."""
        return np.asarray(self._ties.stiffness * (self._ties.mean @ moved))

    @cached_property
    def _bed(self) -> Springs:
        """What presses square to the wall."""
        return Springs(self.back, self._areas[:, None] * self._wall * np.array([0.0, 0.0, 1.0]))

    def _grips(self, pressed: Floats) -> Springs:
        """Give what holds the back along the wall where that is `pressed` (k,)."""
        loose = LOOSE * self._areas[:, None] * self._wall * np.ones(3)
        loose[:, :2] += (self._grip * self._areas * self._wall * pressed)[:, None]
        return Springs(self.back, loose)

    @cached_property
    def _to_back(self) -> csr_array:
        return self.back.heights(self.body.cells)

    def _sinks(self, moved: Floats) -> Mask:
        """Tell which points (k,) of the back are in the wall."""
        return np.asarray(self._to_back @ moved < 0.0)

    def _told(self, moved: Sequence[Floats], pull: Floats, steps: int) -> OnTheWall:
        pressure = [np.maximum(-(self._to_back @ each), 0.0) * self._wall for each in moved]
        return OnTheWall(np.stack(moved, axis=1), np.stack(pressure, axis=1), self._areas, pull, steps)
