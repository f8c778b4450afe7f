"""What a joint is computed for: how it is tightened, into what wall, and who hangs on it."""

from dataclasses import dataclass, replace
from typing import TypeVar

from holdwright.catalogue.anchorage import Friction, NutFactor, Panel, StrengthClass, TNut, WoodScrew
from holdwright.catalogue.catalogue import Catalogue, look_up
from holdwright.catalogue.fasteners import Profile, Screw, Washer
from holdwright.catalogue.materials import Material
from holdwright.errors import ParameterError
from holdwright.hold.feature import Bore
from holdwright.joint.fasteners.bearing import seat_area
from holdwright.joint.fasteners.preload import Preload, tightened
from holdwright.joint.holding.cone_reach import WallSupport
from holdwright.joint.holding.loadable import STEEPEST
from holdwright.joint.holding.loads import FAN, Load, Loads, Reach, load_of
from holdwright.joint.joint_parameters import LEAST, PRINTED, TORQUE, USUAL, JointParameters
from holdwright.ranges import Range

L = TypeVar("L", Loads, Reach)


_PLAIN = ("torque", "mass", "factor", "overhang", "behind", "printed", "across_layers")
"""What a recipe's figures are called here as well."""


@dataclass(frozen=True)
class ShellFill:
    """How a shell is printed round its core."""

    infill: float = 0.35
    """Share of its inside that is filled, 0 to 1."""
    wall: float = 2.0
    floor: float = 1.6
    """wall, floor: what is solid along its outlines and over its back, mm."""


USUAL_FILL = ShellFill()
"""Two lines of 1 mm and four layers of 0.4 mm: common practice, no source."""


@dataclass(frozen=True)
class Conditions:
    """What a joint is computed for."""

    material: Material
    panel: Panel
    friction: Friction
    nut_factor: NutFactor
    wood_screw: WoodScrew
    """material, panel, friction, nut_factor, wood_screw: rows of the catalogue."""
    strengths: dict[Profile, StrengthClass]
    """Strength class of the bolts, by the profile of their threads."""
    torque: float = TORQUE
    """Tightening torque, N m."""
    mass: float = 80.0
    factor: float = 2.0
    """mass, factor: the climber's, kg, and how many times the weight acts."""
    overhang: float = 0.0
    """How far the wall leans over from the vertical, degrees."""
    least: tuple[float, float] = LEAST
    """Shares of the force that act along the wall and outward at least, however the wall leans."""
    one_way_up: bool = False
    """Whether the hold is always mounted with +y up; else it is loaded from every side, since holds are
    turned."""
    fill: ShellFill = USUAL_FILL
    """What the shell is filled with; a core counts as solid."""
    printed: float = PRINTED.likely
    across_layers: float = 1.0
    """printed, across_layers: shares of strength, as of `JointParameters`."""
    behind: float = 20.0
    """Free space behind the panel, mm."""
    t_nut: TNut | None = None
    """None: the first in the tables with the bolt's thread."""
    screw: Screw | None = None
    washer: Washer | None = None
    """screw, washer: other hardware than the hold was bored for, to see what it would do; as bored where
    None."""
    bare: bool = False
    """Whether to leave the washer out, to see what that would do."""

    def __post_init__(self) -> None:
        """Refuse figures that make no sense."""
        _check("torque", self.torque, 200.0, "N m")
        _check("load", self.mass, 500.0, "kg")
        _check("factor", self.factor, 20.0, "times the weight")
        _check("panel", self.panel.thickness, 200.0, "mm")
        if not 0.0 <= self.overhang <= 90.0:
            raise ParameterError(
                f"An overhang of {self.overhang:g} degrees was asked for; give 0 (upright) to 90 (a roof)."
            )
        if self.material.allowable_sustained is None:
            raise ParameterError(
                f"The material '{self.material.name}' was asked for, but the tables do not tell what it "
                "bears under a bolt for long; choose another, or add its row of creep to your own tables."
            )

    @property
    def load(self) -> Load:
        """What acts on the hold."""
        return load_of(self.mass, self.factor, self.overhang, self.least)

    def mounted(self, loads: L) -> L:
        """Choose the loads that can act as the hold is mounted."""
        return loads.one_way_up if self.one_way_up else loads

    @property
    def load_name(self) -> str:
        """The load in words."""
        return f"{self.factor:g} x {self.mass:g} kg"

    @property
    def assumptions(self) -> str:
        """What the figures stand on, in one line."""
        along, outward = self.least
        sides = f"within {FAN:g} degrees of straight down" if self.one_way_up else "from every side"
        friction, nut, residual = self.friction.range, self.nut_factor.range, self.residual
        return (
            f"{self.load_name} = {self.load.along:.0f} N along the wall and {self.load.outward:.0f} N off it "
            f"(at least {along:g} and {outward:g} of the pull), {sides}, at any point that faces it within "
            f"{STEEPEST:g} degrees; friction {friction.in_words}; nut factor {nut.in_words}; share "
            f"of the preload that stays {residual.in_words}."
        )

    @property
    def sheared(self) -> Range:
        """Strength by that of moulded material where layers are sheared through, with its scatter."""
        share = self.printed / PRINTED.likely
        return Range.by(lambda each: min(each * share, 1.0) * self.across_layers, PRINTED)

    @property
    def allowable(self) -> float:
        """Pressure the seat may bear for years, MPa."""
        return self.material.allowable_sustained or 0.0

    @property
    def residual(self) -> Range:
        """Share of a preload that is left once the material has crept."""
        creep = self.material.creep
        if creep is None:
            return Range(1.0, 1.0, 1.0)
        low, high = creep.residual_range or (creep.residual_preload, creep.residual_preload)
        return Range(low, creep.residual_preload, high)

    def preload(self, screw: Screw, area: float, t_nut: TNut | None = None) -> Preload:
        """Bound what a screw on a seat of some area (mm2) clamps with, tightened as requested.

        Beyond what the seat, or the panel under the flange of a T-nut, likely bears nothing more is counted.
        """
        yielding = self.material.yield_stress
        crushing = [yielding[0] * area] if yielding else []
        if t_nut is not None:
            crushing.append(self.panel.bears(t_nut.flange).likely * t_nut.bearing_area)
        return tightened(self.torque, self.nut_factor, screw.d, area, self.residual, *crushing)

    def wall_round(self, t_nut: TNut) -> WallSupport:
        """Give the panel that a T-nut pulls against the hold."""
        panel, modulus = self.panel, self.material.modulus[0]
        return WallSupport.of(
            modulus, panel.modulus_across, panel.thickness, t_nut.flange, t_nut.barrel_diameter
        )

    def tried(self, screw: Screw, washer: Washer | None) -> tuple[Screw, Washer | None]:
        """BoltAssembly to be tried in place of what a hold was bored for."""
        return self.screw or screw, None if self.bare else self.washer or washer


def _check(what: str, value: float, most: float, unit: str) -> None:
    if not 0.0 < value <= most:
        raise ParameterError(
            f"A {what} of {value:g} {unit} was asked for; give one above 0 and up to {most:g}."
        )


def conditions(
    catalogue: Catalogue,
    requested: JointParameters = USUAL,
    panel: float | None = None,
    fill: ShellFill = USUAL_FILL,
) -> Conditions:
    """Look up what a recipe judges its joint for; in place of its panel one of another thickness in mm.

    Raises
    ------
    CatalogueError, ParameterError
        When the tables have no such row, or it does not tell what a joint needs.
    """
    wall = look_up(catalogue.panels, requested.panel, "panel")
    if panel is not None:
        _check("panel", panel, 200.0, "mm")
        same = [row for row in catalogue.panels if abs(row.thickness - panel) < 0.05]
        other = replace(wall, name=f"{panel:g} mm plywood", thickness=panel, source="thickness as requested")
        wall = same[0] if same else other
    strengths = [look_up(catalogue.strengths, name, "strength class") for name in ("8.8", "grade 5")]
    if requested.strength is not None:
        strengths.append(look_up(catalogue.strengths, requested.strength, "strength class"))
    nut = requested.t_nut
    return Conditions(
        material=look_up(catalogue.materials, requested.material, "material"),
        panel=wall,
        friction=look_up(catalogue.frictions, requested.friction, "friction"),
        nut_factor=look_up(catalogue.nut_factors, requested.nut_factor, "nut factor"),
        wood_screw=look_up(catalogue.wood_screws, requested.wood_screw, "wood screw"),
        strengths={row.profile: row for row in strengths},
        least=(requested.least_along, requested.least_outward),
        one_way_up=requested.mounting == "up",
        fill=fill,
        t_nut=None if nut is None else look_up(catalogue.t_nuts, nut, "T-nut"),
        **{name: getattr(requested, name) for name in _PLAIN},
    )


@dataclass(frozen=True)
class BoltAssembly:
    """What holds one bore: screw, washer, T-nut and strength class."""

    screw: Screw
    washer: Washer | None
    t_nut: TNut
    strength: StrengthClass

    @property
    def proof(self) -> float:
        """Force the bolt bears without stretching for good, N: ISO 898-1, Sp As, less for a weak head."""
        return self.strength.proof * self.screw.stress_area * self.screw.loadability


def bolt_assembly(bore: Bore, conditions: Conditions, catalogue: Catalogue) -> BoltAssembly:
    """Give what holds a bore: what it was bored for, or what is to be tried in its place.

    Raises
    ------
    CatalogueError, ParameterError
        When the catalogue has no such row, or it does not go into the bore.
    """
    bored_for = catalogue.washer(bore.washer) if bore.washer is not None else None
    screw, washer = conditions.tried(catalogue.screw(bore.screw), bored_for)
    if screw.head.angle != bore.cone_angle:
        needs = "a flat seat" if screw.head.angle is None else f"a cone of {screw.head.angle:g} degrees"
        found = "a flat seat" if bore.cone_angle is None else f"a cone of {bore.cone_angle:g} degrees"
        raise ParameterError(
            f"'{screw.name}' was asked for, but it needs {needs} and the bore has {found}; choose another."
        )
    if washer is not None and screw.head.angle is not None:
        raise ParameterError(
            f"'{washer.name}' was asked for, but a countersunk head takes no washer; try none."
        )
    if screw.d > bore.clearance_diameter:
        raise ParameterError(
            f"'{screw.name}' was asked for, but it does not go through the hole of "
            f"{bore.clearance_diameter:g} mm; choose a thinner one or bore anew."
        )
    if washer is not None and not screw.d <= washer.hole < screw.head.diameter:
        raise ParameterError(
            f"'{washer.name}' was asked for, but its hole of {washer.hole:g} mm does not go over the thread "
            f"and under the head of '{screw.name}'; choose a washer for {screw.thread}."
        )
    carrying_area(screw, washer, bore.clearance_diameter)
    return BoltAssembly(
        screw, washer, t_nut_for(screw, conditions, catalogue), conditions.strengths[screw.profile]
    )


def t_nut_for(screw: Screw, conditions: Conditions, catalogue: Catalogue) -> TNut:
    """Give the T-nut that is requested, or the first in the tables with the screw's thread.

    Raises
    ------
    ParameterError
        When there is none of its thread.
    """
    nut = conditions.t_nut
    if nut is not None and nut.thread != screw.thread:
        raise ParameterError(
            f"'{nut.name}' was asked for, but the bolt has {screw.thread}; choose a T-nut of its thread."
        )
    nuts = [nut] if nut else [row for row in catalogue.t_nuts if row.thread == screw.thread]
    if not nuts:
        raise ParameterError(f"The tables have no T-nut for {screw.thread}; add one to your own tables.")
    return nuts[0]


def carrying_area(screw: Screw, washer: Washer | None, clearance: float) -> float:
    """Area in mm2 as of `seat_area`; a `ParameterError` where head or washer falls into the hole."""
    area = seat_area(screw, washer, clearance)
    if area <= 0.0:
        raise ParameterError(
            f"'{(washer or screw).name}' was asked for, but it falls into the hole of {clearance:g} mm; "
            "choose a wider washer."
        )
    return area
