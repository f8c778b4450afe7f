"""The joint card: every figure of a bolted joint, with its limit and its source."""

import math
from dataclasses import dataclass

from holdwright.catalogue.anchorage import LoadCase
from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError
from holdwright.hold.feature import Bore
from holdwright.joint.bearing import pressing_diameter, seat_area, sunk_head_height
from holdwright.joint.bolt_length import BoltLength, Stack, bolt_length
from holdwright.joint.conditions import Conditions, Hardware, hardware_of
from holdwright.joint.figure import Figure, told
from holdwright.joint.joint_shape import JointShape
from holdwright.joint.load import load_of
from holdwright.joint.preload import Preload
from holdwright.joint.screws import ScrewHeld, further_screws, screws_held, shear_capacity, torque_held
from holdwright.joint.seat_cover import SeatCover
from holdwright.joint.slip_and_spin import Holding, holding
from holdwright.joint.stiffness import bolt_stiffness, joint_constant, member_stiffness
from holdwright.joint.torque_window import TorqueWindow, torque_window

ENOUGH = 1.0
"""Least spin, slip, lift and overturning: all that goes into them is already taken on its unsafe side."""

LEAST_SEAT = 0.1
"""Share of a seat below which there is none."""

_STATICS = "statics of a clamped body; lowest friction, highest nut factor and the preload that stays"

_SHEAR = "two hinges in the screw, EN 1995-1-1 equation 8.6 from memory"


@dataclass(frozen=True)
class CaseFigures:
    """The three safeties under one load case."""

    case: LoadCase
    spin: float
    slip: float
    lift: float


@dataclass(frozen=True)
class JointCard:
    """All figures of one bore. Where a hold has several, those of holding are of all bolts together.

    Attributes
    ----------
    bore, hardware, conditions
        What was reckoned.
    preload
        Of this bolt.
    seat_pressure
        Just tightened, lowest nut factor.
    friction_radius, friction_torque, applied_torque, spin, slip, lift, overturning
        Of the hold; see `Holding`.
    bolt_tension
        Greatest pull on this bolt.
    bolt, bolt_name
        Its length, and how to ask for it in a shop.
    window
        Torques that will do.
    screws
        Wood screws needed against turning besides those there; None in value where there is no room for one.
    screws_there, screw_torque
        Wood screws that the hold has holes for, and the torque they carry together; it counts in `spin`.
    screw_distance
        Of their place from the bolts, mm; None where there is no room.
    cases
        The safeties under each load case of the tables, for the same climber.
    """

    bore: Bore
    hardware: Hardware
    conditions: Conditions
    preload: Preload
    seat_pressure: Figure
    friction_radius: Figure
    friction_torque: Figure
    applied_torque: Figure
    spin: Figure
    slip: Figure
    lift: Figure
    overturning: Figure
    bolt_tension: Figure
    bolt: BoltLength
    bolt_name: str
    window: TorqueWindow
    screws: Figure
    screws_there: tuple[ScrewHeld, ...]
    screw_torque: Figure
    screw_distance: float | None
    cases: tuple[CaseFigures, ...]


@dataclass(frozen=True)
class _Tightened:
    """One bore with its bolt tightened, and the area of its seat in mm2."""

    bore: Bore
    hardware: Hardware
    area: float
    preload: Preload

    @classmethod
    def of(cls, bore: Bore, cover: SeatCover, wanted: Conditions, catalogue: Catalogue) -> "_Tightened":
        hardware = hardware_of(bore, wanted, catalogue)
        there = cover.share(pressing_diameter(hardware.screw, hardware.washer), bore.clearance_diameter)
        if there < LEAST_SEAT:
            raise GeometryError(
                f"Only {there:.0%} of the seat of the bore at {bore.x:.1f}, {bore.y:.1f} mm is there, so "
                "that nothing carries its bolt; move the bore inward or seat it deeper."
            )
        area = there * seat_area(hardware.screw, hardware.washer, bore.clearance_diameter)
        return cls(bore, hardware, area, wanted.preload(hardware.screw, area))


@dataclass(frozen=True)
class _Held:
    """The hold as all bolts together hold it."""

    shape: JointShape
    wanted: Conditions
    holding: Holding
    cases: tuple[CaseFigures, ...]
    screws: tuple[ScrewHeld, ...]

    @property
    def spin(self) -> float:
        """What friction and wood screws resist with together by what turns."""
        applied = self.holding.applied_torque
        resists = self.holding.friction_torque + torque_held(self.screws)
        return resists / applied if applied > 0.0 else math.inf


def joint_cards(shape: JointShape, wanted: Conditions, catalogue: Catalogue) -> tuple[JointCard, ...]:
    """Reckon the card of each bore.

    Raises
    ------
    CatalogueError, ParameterError
        When hardware that is asked for is not there or does not fit.
    GeometryError
        When a seat is hardly there.
    """
    tightened = [
        _Tightened.of(*seat, wanted, catalogue) for seat in zip(shape.bores, shape.covers, strict=True)
    ]
    clamp = sum(each.preload.residual for each in tightened)
    middle = float(shape.reach.middle[0]), float(shape.reach.middle[1])
    screws = screws_held(shape.screws, middle, catalogue, wanted.panel, _seat_strength(wanted))
    held = _Held(
        shape,
        wanted,
        holding(shape.contact, shape.reach, wanted.load, clamp, wanted.friction.low),
        tuple(_case(shape, wanted, clamp, case, screws) for case in catalogue.load_cases),
        screws,
    )
    return tuple(_card(each, held) for each in tightened)


def _case(
    shape: JointShape, wanted: Conditions, clamp: float, case: LoadCase, screws: tuple[ScrewHeld, ...]
) -> CaseFigures:
    load = load_of(wanted.mass, case.factor, wanted.overhang)
    held = holding(shape.contact, shape.reach, load, clamp, wanted.friction.low)
    return CaseFigures(case, _Held(shape, wanted, held, (), screws).spin, held.slip, held.lift)


def _seat_strength(wanted: Conditions) -> float:
    """Pressure in MPa that the hold bears for a moment on a screw's shank."""
    return wanted.material.allowable_short or 1.0


def _card(bolt: _Tightened, held: _Held) -> JointCard:
    shape, wanted, figures, hardware = held.shape, held.wanted, held.holding, bolt.hardware
    length = _length(bolt, wanted)
    distance = _screw_distance(shape)
    friction = told(wanted.friction, wanted.nut_factor)
    return JointCard(
        bore=bolt.bore,
        hardware=hardware,
        conditions=wanted,
        preload=bolt.preload,
        seat_pressure=_seat_pressure(bolt, wanted),
        friction_radius=Figure(
            shape.contact.pressure.friction_radius,
            "mm",
            "exact integral of the linear pressure that balances the bolts over the real contact",
        ),
        friction_torque=Figure(
            figures.friction_torque, "N m", f"{_STATICS}; {friction}", figures.applied_torque, "at least"
        ),
        applied_torque=Figure(
            figures.applied_torque, "N m", "weight times factor times arm, at the worst point within reach"
        ),
        spin=Figure(
            held.spin,
            "",
            f"friction torque, and what the wood screws there carry, by applied torque; {_STATICS}",
            ENOUGH,
            "at least",
        ),
        slip=Figure(figures.slip, "", f"friction by load along the wall; {_STATICS}", ENOUGH, "at least"),
        lift=Figure(figures.lift, "", f"linear pressure to zero at an edge; {_STATICS}", ENOUGH, "at least"),
        overturning=Figure(
            figures.overturning,
            "",
            f"clamp by pull that holds it on its far edge; {_STATICS}",
            ENOUGH,
            "at least",
        ),
        bolt_tension=_tension(bolt, held),
        bolt=length,
        bolt_name=_bolt_name(hardware, length),
        window=torque_window(shape, wanted, hardware, figures, bolt.area, torque_held(held.screws)),
        screws=_screws(held, distance),
        screws_there=held.screws,
        screw_torque=Figure(
            torque_held(held.screws),
            "N m",
            "elastic group of fasteners in torsion (Shigley, Mechanical Engineering Design, section 8-12, "
            f"section from memory); {_SHEAR}{_rows_of(held.screws)}",
        ),
        screw_distance=distance,
        cases=held.cases,
    )


def _seat_pressure(bolt: _Tightened, wanted: Conditions) -> Figure:
    creep = (wanted.material.creep,) if wanted.material.creep else ()
    rows = told(wanted.nut_factor, wanted.material, *creep)
    source = f"highest preload over what there is of the seat's ring; {rows}"
    return Figure(bolt.preload.high / bolt.area, "MPa", source, wanted.allowable, "at most")


def _length(bolt: _Tightened, wanted: Conditions) -> BoltLength:
    hardware = bolt.hardware
    washer = hardware.washer.thickness if hardware.washer else 0.0
    panel, barrel = wanted.panel.thickness / bolt.bore.axis[2], hardware.t_nut.barrel
    head = sunk_head_height(hardware.screw, bolt.bore.clearance_diameter)
    stack = Stack(bolt.bore.seat + head, washer, panel, barrel, wanted.behind)
    return bolt_length(stack, hardware.screw.d, hardware.screw.lengths)


def _bolt_name(hardware: Hardware, length: BoltLength) -> str:
    """Write a bolt as it is asked for: metric in mm, others in inches."""
    if length.length is None:
        return hardware.screw.name
    if hardware.screw.profile == "iso":
        return f"{hardware.screw.name} x {length.length:g}"
    whole, quarters = divmod(round(length.length / 25.4 * 4), 4)
    part = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[quarters]
    return f"{hardware.screw.name} x {' '.join(filter(None, (str(whole) if whole else '', part)))} in"


def _tension(bolt: _Tightened, held: _Held) -> Figure:
    """Give the greatest pull: preload, and of the pry the share that a bolt in soft plastic takes."""
    hardware, wanted, seat = bolt.hardware, held.wanted, bolt.bore.seat
    layers = ((seat, wanted.material.modulus[0]), (wanted.panel.thickness, wanted.panel.modulus))
    pressing = pressing_diameter(hardware.screw, hardware.washer)
    members = member_stiffness(hardware.screw.d, pressing, layers)
    grip = seat + wanted.panel.thickness
    share = joint_constant(bolt_stiffness(hardware.screw.stress_area, grip), members)
    pry = held.holding.pry / len(held.shape.bores)
    return Figure(
        max(bolt.preload.high + share * pry, pry),
        "N",
        f"highest preload and {share:.2f} of the pry, by frusta of 30 degrees (Shigley, Mechanical "
        f"Engineering Design, section 8-5); {told(hardware.strength)}",
        hardware.proof,
        "at most",
    )


def _screw_distance(shape: JointShape) -> float | None:
    place = shape.contact.screw_place
    return None if place is None else float((place @ place) ** 0.5)


def _screws(held: _Held, distance: float | None) -> Figure:
    wanted, figures = held.wanted, held.holding
    missing = ENOUGH * figures.applied_torque - figures.friction_torque
    source = (
        f"torque that friction does not hold, carried across by screws; {_SHEAR}; {told(wanted.wood_screw)}"
    )
    if missing <= torque_held(held.screws):
        return Figure(0, "", source)
    if distance is None:
        return Figure(None, "", source)
    capacity = shear_capacity(wanted.wood_screw, wanted.panel, _seat_strength(wanted))
    return Figure(further_screws(missing, held.screws, distance, capacity), "", source)


def _rows_of(screws: tuple[ScrewHeld, ...]) -> str:
    rows = {screw.row.name: screw.row for screw in screws}
    return f"; {told(*rows.values())}" if rows else ""
