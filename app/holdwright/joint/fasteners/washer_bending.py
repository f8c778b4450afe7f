"""How much harder a washer presses near the head than on the mean, since it bends."""

from functools import lru_cache

import numpy as np
from numpy.polynomial import Legendre
from numpy.polynomial.legendre import leggauss

from holdwright.catalogue.fasteners import Screw, Washer
from holdwright.geometry.arrays import Floats

STEEL, POISSON = 210e3, 0.3
"""Modulus in MPa and Poisson's ratio of a washer: usual values, from memory."""

BEDDING = 1.6
"""Bedding modulus of a seat (MPa/mm) times the washer's radius (mm) by the seat's modulus (MPa): chosen so
that the peak agrees with elastic models of washers of 2.5 and 5 mm on solid PETG."""

_TERMS, _POINTS, _PLACES = 8, 40, 200


def peak_of_mean(screw: Screw, washer: Washer | None, modulus: float) -> float:
    """Greatest pressure under a washer by the mean one; 1 without a washer.

    Parameters
    ----------
    modulus
        Of the seat's material, MPa.

    Notes
    -----
    The washer is a thin annular plate with free edges on springs (Winkler), pressed evenly by the head's
    bearing face. Its deflection is the sum of Legendre polynomials of the radius that makes the potential
    energy least (Ritz). Plate and springs: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells,
    sections 17 and 57, numbers from memory.
    """
    if washer is None or screw.head.bearing >= washer.outer:
        return 1.0
    inner, head, outer = washer.hole / 2.0, screw.head.bearing / 2.0, washer.outer / 2.0
    return _peak(inner, head, outer, washer.thickness, BEDDING * modulus / outer)


@lru_cache(maxsize=256)
def _peak(inner: float, head: float, outer: float, thickness: float, bedding: float) -> float:
    shapes = [Legendre.basis(i, [inner, outer]) for i in range(_TERMS)]

    def values(radii: Floats, order: int = 0) -> Floats:
        return np.array([shape.deriv(order)(radii) if order else shape(radii) for shape in shapes])

    radii, weights = _points(inner, outer)
    deflection, bent, round_axis = values(radii), values(radii, 2), values(radii, 1) / radii
    plate = STEEL * thickness**3 / 12.0 / (1.0 - POISSON**2)
    energy = plate * (
        (bent * weights) @ bent.T
        + (round_axis * weights) @ round_axis.T
        + POISSON * ((bent * weights) @ round_axis.T + (round_axis * weights) @ bent.T)
    )
    energy += bedding * (deflection * weights) @ deflection.T
    pressed, shares = _points(inner, head)
    pull = values(pressed) @ shares / shares.sum()
    pressure = bedding * np.linalg.solve(energy, pull) @ values(np.linspace(inner, outer, _PLACES))
    return float(pressure.max() * (outer**2 - inner**2) / 2.0)


def _points(low: float, high: float) -> tuple[Floats, Floats]:
    """Gauss points of a ring and their weights, each times its radius."""
    places, weights = leggauss(_POINTS)
    radii = (low + high + (high - low) * places) / 2.0
    return radii, weights * (high - low) / 2.0 * radii
