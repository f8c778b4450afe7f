"""The joint card: every figure of a bolted joint, with its limit and its source."""

from collections.abc import Sequence
from dataclasses import dataclass

from holdwright.catalogue.anchorage import LoadCase
from holdwright.catalogue.catalogue import Catalogue
from holdwright.hold.feature import Bore
from holdwright.joint.card.bolt_bending import bent_stress
from holdwright.joint.card.bolt_figures import (
    Tightened,
    bolt_name,
    length_of,
    seat_peak,
    seat_pressure,
    stand_out,
    tension,
    tool_reach,
)
from holdwright.joint.card.clamped_hold import ENOUGH, SHEAR, ClampedHold
from holdwright.joint.card.core_figures import core_figures
from holdwright.joint.card.panel_figures import flange_pressure, most_clamp, pull_through, share_over
from holdwright.joint.card.screws import ScrewHeld, torque_held
from holdwright.joint.card.torque_window import TorqueWindow
from holdwright.joint.conditions import BoltAssembly, Conditions
from holdwright.joint.fasteners.bearing import pressing_diameter
from holdwright.joint.fasteners.bolt_length import BoltLength
from holdwright.joint.fasteners.preload import Preload
from holdwright.joint.figure import Figure, sources
from holdwright.joint.holding.joint_shape import JointShape
from holdwright.joint.holding.slip_and_spin import Holding
from holdwright.ranges import Range

_STATICS = (
    "statics of a clamped body; range from the tables' ranges of friction, nut factor and preload that stays"
)

_UNDER_CONES = (
    "mean distance of the pressure from the bolts, under cones of 45 degrees from washer or head (Roetscher, "
    "from memory), wider where the panel gives, narrower by its T-nut's own cone; within 15 % of our own "
    "elastic computation"
)
_GROUP = (
    "elastic group of fasteners in torsion (Shigley, Mechanical Engineering Design, section 8-12, "
    "section from memory)"
)


@dataclass(frozen=True)
class JointCard:
    """All figures of one bore. Where a hold has several, those of holding are of all bolts together."""

    bore: Bore
    hardware: BoltAssembly
    conditions: Conditions
    """bore, hardware, conditions: what was computed."""
    preload: Preload
    """Of this bolt."""
    seat_pressure: Figure
    seat_peak: Figure
    """seat_pressure, seat_peak: mean and greatest, just tightened."""
    friction_radius: Figure
    friction_torque: Figure
    applied_torque: Figure
    spin: Figure
    slip: Figure
    together: Figure
    lift: Figure
    overturning: Figure
    """friction_radius, friction_torque, applied_torque, spin, slip, together, lift, overturning: of the hold;
    see `Holding`."""
    bolt_tension: Figure
    bolt_bent: Figure
    """bolt_tension, bolt_bent: pull on this bolt, and its stress where the hold slips onto it."""
    washer_on_core: Figure
    core_share: Figure
    core_gap: Figure
    plug_shear: Figure
    seat_pull_through: Figure
    """washer_on_core, core_share, core_gap, plug_shear, seat_pull_through: how shell and core carry this
    bolt; see `core_figures`."""
    flange_pressure: Figure
    pull_through: Figure
    """flange_pressure, pull_through: of its T-nut on the panel, and the force that punches it through."""
    tool_reach: Figure
    """How far the key goes into the pocket."""
    stand_out: Figure
    """How far the bolt ends behind the panel's back."""
    bolt: BoltLength
    bolt_name: str
    """bolt, bolt_name: its length, and how to ask for it in a shop."""
    window: TorqueWindow
    """Usable torques."""
    screws: Figure
    """Wood screws needed against turning besides those there, at any torque of the window with screws; None
    in value where so many have no room. Its range is by the range of friction torque, endless where not even
    all that have room are enough."""
    further_screws: tuple[ScrewHeld, ...]
    """All that have room, in the order in which they are set."""
    existing_screws: tuple[ScrewHeld, ...]
    screw_torque: Figure
    """existing_screws, screw_torque: wood screws that the hold has holes for, and the torque they carry
    together; it counts in `spin`."""
    bolt_torque: Figure
    """Torque that several bolts carry across, which lock each other; it counts in `spin`."""
    cases: tuple[tuple[LoadCase, Holding], ...]
    """How the hold holds under each load case of the tables."""
    relieved: bool
    """Whether the hold's back is relieved."""

    @property
    def screw_distance(self) -> float | None:
        """Of the first further screw from the bolts, mm; None where there is no room."""
        return self.further_screws[0].lever if self.further_screws else None

    @property
    def usable_torques(self) -> tuple[float, float] | None:
        """The window by friction, else with the further wood screws needed, N m; None where there is none."""
        return self.window.range or (self.window.range_with_screws if self.screws.value else None)

    @property
    def seat_point(self) -> tuple[float, float, float]:
        """Middle of the seat on the hold, mm."""
        return self.bore.x, self.bore.y, self.bore.seat_z


def pressed_by(shape: JointShape, bolts: Sequence[BoltAssembly], conditions: Conditions) -> JointShape:
    """Press each seat with its bolt's head or washer, on the wall as its T-nut holds it."""
    return shape.under(
        [pressing_diameter(each.screw, each.washer) for each in bolts],
        [conditions.wall_round(each.t_nut) for each in bolts],
    )


def joint_cards(shape: JointShape, conditions: Conditions, catalogue: Catalogue) -> tuple[JointCard, ...]:
    """Compute the card of each bore.

    Raises
    ------
    CatalogueError, ParameterError
        When requested hardware is not in the tables or does not fit.
    GeometryError
        When hardly any of a seat is left.
    """
    tightened = [
        Tightened.of(*seat, conditions, catalogue) for seat in zip(shape.bores, shape.covers, strict=True)
    ]
    shape = pressed_by(shape, [each.hardware for each in tightened], conditions)
    held = ClampedHold.of(shape, tightened, conditions, catalogue)
    return tuple(_card(each, held) for each in tightened)


def _card(bolt: Tightened, held: ClampedHold) -> JointCard:
    shape, conditions, figures, hardware = held.shape, held.conditions, held.holding, bolt.hardware
    length = length_of(bolt, conditions)
    friction = sources(conditions.friction, conditions.nut_factor)
    bolts, pry = len(shape.bores), figures.pry / len(shape.bores)
    over = share_over(shape.contact.pressure, bolt, shape.reach.middle, bolts, conditions.panel.thickness)
    window, screws = held.window(bolt, most_clamp(bolt, conditions, pry, over))
    return JointCard(
        bore=bolt.bore,
        hardware=hardware,
        conditions=conditions,
        preload=bolt.preload,
        seat_pressure=seat_pressure(bolt, conditions),
        seat_peak=seat_peak(bolt, conditions),
        friction_radius=Figure(shape.contact.pressure.friction_radius, "mm", _UNDER_CONES),
        friction_torque=Figure(
            figures.friction_torque.likely,
            "N m",
            f"{_STATICS}; {friction}",
            figures.applied_torque,
            "at least",
            figures.friction_torque,
        ),
        applied_torque=Figure(
            figures.applied_torque, "N m", "weight times factor times arm, at the worst point within reach"
        ),
        spin=_safety(
            figures.spin, "torque of friction, present wood screws and locking bolts, by applied torque"
        ),
        slip=_safety(figures.slip, "friction by load along the wall"),
        together=_safety(
            figures.together,
            "turning and sliding at once, up to an ellipse (Goyal, Ruina and Papadopoulos, from memory)",
        ),
        lift=_safety(
            figures.lift,
            "pressure under cones from the bolts, until the gap reaches a washer; within 15 % of our own "
            "elastic computation",
        ),
        overturning=_safety(figures.overturning, "clamp by pull that holds it on its far edge"),
        bolt_tension=tension(bolt, conditions, pry),
        bolt_bent=bent_stress(bolt, conditions, pry, conditions.load.along / len(shape.bores)),
        flange_pressure=flange_pressure(bolt, conditions),
        pull_through=pull_through(bolt, conditions, pry, over),
        tool_reach=tool_reach(bolt),
        stand_out=stand_out(length, conditions),
        **core_figures(bolt, shape, conditions, pry),
        bolt=length,
        bolt_name=bolt_name(hardware, length),
        window=window,
        screws=screws,
        further_screws=held.further,
        existing_screws=held.screws,
        screw_torque=Figure(torque_held(held.screws), "N m", f"{_GROUP}; {SHEAR}{_rows_of(held.screws)}"),
        bolt_torque=Figure(
            torque_held(held.bolts), "N m", f"{_GROUP}, by the bolts' cores; {sources(hardware.strength)}"
        ),
        cases=held.cases,
        relieved=bool(shape.pockets),
    )


def _safety(value: Range, how: str) -> Figure:
    return Figure(value.likely, "", f"{how}; {_STATICS}", ENOUGH, "at least", value)


def _rows_of(screws: tuple[ScrewHeld, ...]) -> str:
    rows = {screw.row.name: screw.row for screw in screws}
    return f"; {sources(*rows.values())}" if rows else ""
