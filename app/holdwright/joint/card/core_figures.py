"""How shell and core, two materials, carry a bolt: what of the seat lies on the core, and what shears."""

import math
from functools import lru_cache

import numpy as np

from holdwright.geometry.core.core_fit import washer_share
from holdwright.geometry.mesh.frustum import Frustum
from holdwright.hold.feature import BackPocket
from holdwright.joint.card.bolt_figures import Tightened, pulls
from holdwright.joint.conditions import Conditions
from holdwright.joint.fasteners.bearing import pressing_diameter
from holdwright.joint.figure import Figure, sources
from holdwright.joint.holding.joint_shape import JointShape
from holdwright.joint.outline import inside
from holdwright.ranges import Range

_GYROID = "infill as gyroid, by our own elastic computation of its cell"
_SHEAR = (
    "yield by the root of 3 (von Mises), 0.7 to 0.95 of moulded material unless another share is asked for "
    "(common practice, no source)"
)
_RINGS, _TURNS = 8, 64


def core_figures(bolt: Tightened, shape: JointShape, conditions: Conditions, pry: float) -> dict[str, Figure]:
    """Give all by name; `pry` is the pull off the wall on this bolt, N."""
    gap = core_gap(bolt, shape)
    return {
        "washer_on_core": washer_on_core(bolt, shape),
        "core_share": core_share(bolt, shape, conditions),
        "core_gap": gap,
        "plug_shear": plug_shear(bolt, shape, conditions, gap.value),
        "seat_pull_through": seat_pull_through(bolt, shape, conditions, pry),
    }


def infill_yield(infill: float) -> float:
    """Share of the solid's strength at which infill of some share, 0 to 1, first yields.

    0.48 infill^1.1 up to a half, by our own elastic computation of a gyroid's cell; from there straight to 1.
    """
    half: float = 0.48 * min(infill, 0.5) ** 1.1
    return half + (1.0 - half) * max(infill - 0.5, 0.0) / 0.5


def infill_stiffness(infill: float) -> float:
    """Share of the solid's modulus that infill has, 0.65 infill^1.4, likewise."""
    half: float = 0.65 * min(infill, 0.5) ** 1.4
    return half + (1.0 - half) * max(infill - 0.5, 0.0) / 0.5


def shear_strength(conditions: Conditions) -> Range:
    """Give the shear stress at which the material, printed solid, yields, MPa."""
    stress = Range.between(conditions.material.yield_stress or conditions.material.tensile)
    return Range.by(lambda most, share: most * share / math.sqrt(3.0), stress, conditions.sheared)


def washer_on_core(bolt: Tightened, shape: JointShape) -> Figure:
    """Give the share of washer or head that has core under it, %; no value where no core was split off."""
    how = "share of its ring that has core under it at the seat"
    if not shape.cores:
        return Figure(None, "%", how)
    return Figure(100.0 * _on_core(bolt, shape), "%", how, 90.0, "at least")


def core_share(bolt: Tightened, shape: JointShape, conditions: Conditions) -> Figure:
    """Give the share of the seat's load that the core takes, %."""
    on, soft = _on_core(bolt, shape), infill_stiffness(conditions.fill.infill)
    share = on / (on + (1.0 - on) * soft) if shape.cores else None
    source = f"areas of core and shell under it by their moduli, the shell's {soft:.2f} of solid; {_GYROID}"
    return Figure(None if share is None else 100.0 * share, "%", source)


def core_gap(bolt: Tightened, shape: JointShape) -> Figure:
    """Give how far the core ends above the wall, over a pocket in the back, mm; 0 where it stands on it."""
    core, how = _own(bolt, shape.cores), "depth of the pocket where most of the core's foot lies over it"
    depths = [each.depth for each in shape.pockets if core and _over(core, each) > 0.5]
    return Figure(None if core is None else max(depths, default=0.0), "mm", how)


def plug_shear(bolt: Tightened, shape: JointShape, conditions: Conditions, gap: float | None) -> Figure:
    """Give the shear strength of the infill round a core that ends above the wall, by the preload.

    Parameters
    ----------
    gap
        How far it ends above the wall, mm; see `core_gap`.
    """
    core = _own(bolt, shape.cores)
    how = "shear strength of infill and floor round the core and the shell's wall by the preload"
    source = f"{how}; {_GYROID}; {_SHEAR}; {sources(conditions.material)}"
    if core is None or not gap:
        return Figure(None, "", source, 1.0, "at least")
    fill = conditions.fill
    floor, mean = min(fill.floor, core.top - gap), (core.radius_at(gap) + core.top_radius) / 2.0 + fill.wall
    weak = infill_yield(fill.infill) * (core.top - gap - floor)
    safety = Range.by(
        lambda stress, pull: stress * 2.0 * math.pi * mean * (weak + floor) / pull,
        shear_strength(conditions),
        bolt.preload.tightened.reversed,
    )
    return Figure(safety.likely, "", source, 1.0, "at least", safety)


def seat_pull_through(bolt: Tightened, shape: JointShape, conditions: Conditions, pry: float) -> Figure:
    """Give what keeps head or washer from being pulled through the seat, by the bolt's pull.

    Parameters
    ----------
    pry
        Pull off the wall on this bolt, N.
    """
    screw, bore = bolt.hardware.screw, bolt.bore
    wide = pressing_diameter(screw, bolt.hardware.washer)
    angle = screw.head.angle
    cone = (wide - bore.clearance_diameter) / 2.0 / math.tan(math.radians(angle / 2.0)) if angle else 0.0
    on = _on_core(bolt, shape)
    strong = on + (1.0 - on) * infill_yield(conditions.fill.infill)
    face = math.pi * wide * (max(bore.thickness_under_seat, 0.0) + cone)
    safety = Range.by(
        lambda stress, pull: strong * stress * face / pull,
        shear_strength(conditions),
        pulls(bolt, conditions, pry).reversed,
    )
    source = (
        f"shear under the edge of head or washer, through what is under the seat, core as solid; {_SHEAR}; "
        f"{sources(conditions.material)}"
    )
    return Figure(safety.likely, "", source, 1.0, "at least", safety)


def _on_core(bolt: Tightened, shape: JointShape) -> float:
    """Share of what presses on the seat that lies on the core; all of it where no core was split off."""
    wide = pressing_diameter(bolt.hardware.screw, bolt.hardware.washer)
    return _share(shape.cores, bolt.bore.hole, wide / 2.0) if shape.cores else 1.0


_share = lru_cache(maxsize=64)(washer_share)


def _own(bolt: Tightened, cores: tuple[Frustum, ...]) -> Frustum | None:
    """Give the core round a bolt, the nearest."""
    x, y = bolt.bore.x, bolt.bore.y
    return min(cores, key=lambda core: math.hypot(core.foot[0] - x, core.foot[1] - y), default=None)


def _over(core: Frustum, pocket: BackPocket) -> float:
    """Share of a core's foot that lies over a pocket."""
    radii = core.foot_radius * np.sqrt((np.arange(_RINGS) + 0.5) / _RINGS)
    turns = np.arange(_TURNS) * (2.0 * np.pi / _TURNS)
    places = np.stack([np.outer(radii, np.cos(turns)), np.outer(radii, np.sin(turns))], axis=-1).reshape(
        -1, 2
    )
    return float(inside(places + core.foot[:2], pocket.drawn).mean())
