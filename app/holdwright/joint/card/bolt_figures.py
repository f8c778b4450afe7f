"""What tightening does to one bolt and its seat, and which bolt it is."""

from dataclasses import dataclass

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import GeometryError
from holdwright.hold.feature import Bore
from holdwright.joint.conditions import BoltAssembly, Conditions, bolt_assembly
from holdwright.joint.fasteners.bearing import SeatCover, pressing_diameter, seat_area, sunk_head_height
from holdwright.joint.fasteners.bolt_length import TOLERANCES, BoltLength, Stack, bolt_length
from holdwright.joint.fasteners.preload import Preload
from holdwright.joint.fasteners.stiffness import bolt_stiffness, joint_constant, member_stiffness
from holdwright.joint.fasteners.washer_bending import peak_of_mean
from holdwright.joint.figure import Figure, sources
from holdwright.ranges import Range

LEAST_SEAT = 0.1
"""Share of a seat below which there is none."""


@dataclass(frozen=True)
class Tightened:
    """One bore with its bolt tightened, and the area of its seat in mm2."""

    bore: Bore
    hardware: BoltAssembly
    area: float
    preload: Preload
    pocket_depth: float = 0.0
    """From the seat to the highest point of the pocket's mouth, mm."""

    @classmethod
    def of(cls, bore: Bore, cover: SeatCover, conditions: Conditions, catalogue: Catalogue) -> "Tightened":
        """Tighten a bore's bolt; errors as of `bolt_assembly`, and a `GeometryError` without a seat."""
        hardware = bolt_assembly(bore, conditions, catalogue)
        present = cover.share(pressing_diameter(hardware.screw, hardware.washer), bore.clearance_diameter)
        if present < LEAST_SEAT:
            raise GeometryError(
                f"Only {present:.0%} of the seat of the bore at {bore.x:.1f}, {bore.y:.1f} mm is left, so "
                "that nothing carries its bolt; move the bore inward or seat it deeper."
            )
        area = present * seat_area(hardware.screw, hardware.washer, bore.clearance_diameter)
        return cls(
            bore, hardware, area, conditions.preload(hardware.screw, area, hardware.t_nut), cover.pocket_depth
        )


def seat_pressure(bolt: Tightened, conditions: Conditions) -> Figure:
    """Give the mean pressure on the seat, just tightened."""
    creep = (conditions.material.creep,) if conditions.material.creep else ()
    rows = sources(conditions.nut_factor, conditions.material, *creep)
    source = f"preload over what is left of the seat's ring; {rows}"
    pressure = Range.by(lambda force: force / bolt.area, bolt.preload.tightened)
    return Figure(pressure.likely, "MPa", source, conditions.allowable, "at most", pressure)


def seat_peak(bolt: Tightened, conditions: Conditions) -> Figure:
    """Give the greatest pressure on the seat, where the washer bends under the head."""
    hardware, low = bolt.hardware, conditions.material.modulus[0]
    share = peak_of_mean(hardware.screw, hardware.washer, low * 1000.0)
    pressure = Range.by(lambda force: share * force / bolt.area, bolt.preload.tightened)
    source = (
        f"{share:.2f} times the mean: the washer as an annular plate on springs (Timoshenko, Theory of "
        f"Plates and Shells, from memory); before the seat yields; {sources(conditions.material)}"
    )
    return Figure(pressure.likely, "MPa", source, range=pressure)


def length_of(bolt: Tightened, conditions: Conditions) -> BoltLength:
    """Choose the bolt's length for hold, washer, panel and T-nut."""
    hardware = bolt.hardware
    washer = hardware.washer.thickness if hardware.washer else 0.0
    panel, barrel = conditions.panel.thickness / bolt.bore.axis[2], hardware.t_nut.barrel
    head = sunk_head_height(hardware.screw, bolt.bore.clearance_diameter)
    stack = Stack(bolt.bore.seat + head, washer, panel, barrel, conditions.behind)
    return bolt_length(stack, hardware.screw.d, hardware.screw.pitch, hardware.screw.lengths)


def stand_out(length: BoltLength, conditions: Conditions) -> Figure:
    """Give how far a bolt stands out behind the panel; none where no bolt is long enough."""
    out = length.stand_out
    source = f"length less seat, washer and panel; {TOLERANCES}"
    return Figure(out.likely if out else None, "mm", source, conditions.behind, "at most", out)


def bolt_name(hardware: BoltAssembly, length: BoltLength) -> str:
    """Write a bolt as it is ordered: metric in mm, others in inches."""
    if length.length is None:
        return hardware.screw.name
    if hardware.screw.profile == "iso":
        return f"{hardware.screw.name} x {length.length:g}"
    whole, quarters = divmod(round(length.length / 25.4 * 4), 4)
    part = {0: "", 1: "1/4", 2: "1/2", 3: "3/4"}[quarters]
    return f"{hardware.screw.name} x {' '.join(filter(None, (str(whole) if whole else '', part)))} in"


def bolt_share(bolt: Tightened, conditions: Conditions) -> float:
    """Share of an outward pull that the bolt takes in soft plastic."""
    hardware, seat = bolt.hardware, bolt.bore.seat
    panel = conditions.panel
    layers = ((seat, conditions.material.modulus[0]), (panel.thickness, panel.modulus_across))
    pressing = pressing_diameter(hardware.screw, hardware.washer)
    members = member_stiffness(hardware.screw.d, pressing, layers)
    grip = seat + panel.thickness
    return joint_constant(bolt_stiffness(hardware.screw.stress_area, grip), members)


def pulls(bolt: Tightened, conditions: Conditions, pry: float) -> Range:
    """Give the pull on a bolt, N: preload, and of the pry (N on this bolt) the share it takes."""
    share = bolt_share(bolt, conditions)
    return Range.by(lambda force: max(force + share * pry, pry), bolt.preload.tightened)


def tension(bolt: Tightened, conditions: Conditions, pry: float) -> Figure:
    """Give the pull; see `pulls`."""
    pull = pulls(bolt, conditions, pry)
    return Figure(
        pull.likely,
        "N",
        f"preload and {bolt_share(bolt, conditions):.2f} of the pry, by frusta of 30 degrees "
        f"(Shigley, Mechanical Engineering Design, section 8-5); {sources(bolt.hardware.strength)}",
        bolt.hardware.proof,
        "at most",
        pull,
    )


def tool_reach(bolt: Tightened) -> Figure:
    """Give how far the key goes into the pocket, from its mouth to the head's top."""
    screw, washer = bolt.hardware.screw, bolt.hardware.washer
    sunk = sunk_head_height(screw, bolt.bore.clearance_diameter)
    head = sunk if screw.head.angle else screw.head.height + (washer.thickness if washer else 0.0)
    source = f"from the mouth's highest point to the head's top; {sources(screw)}"
    return Figure(max(bolt.pocket_depth - head, 0.0), "mm", source)
