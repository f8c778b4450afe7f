"""Our table of plastics beside two published libraries' tables.

Sources: PyPI bd_materials 0.2.5, bd_materials/materials/plastics.py (Apache-2.0); PyPI py-materials 3.10.0,
pymat/data/plastics.toml (MIT), read as a plain file. Gauges of wood screws by the rule that a diameter is
0.060 + 0.013 n inches (any table of wood screws).

Known disagreements, and the side we take: py-materials has densities of 1.25 for PLA and 1.21 for TPU, we
have 1.24 and 1.20 with bd_materials; all are within 1 %. The carbon-filled nylons are in neither; ours come
from memory.
"""

import tomllib
from importlib import import_module, metadata

import pytest

from holdwright.catalogue.catalogue import load_catalogue, look_up
from outside.other_tables import require

NAMES = {
    "PLA": "PLA.GENERIC",
    "PETG": "PETG.GENERIC",
    "ASA": "Asa.GENERIC",
    "ABS": "ABS.GENERIC",
    "PA12": "Nylon.PA12",
    "PC": "PC.GENERIC",
    "TPU 95A": "TPU.SHORE_95A",
}


@pytest.mark.parametrize("name", NAMES)
def test_materials_against_bd_materials(name):
    require("bd_materials", "0.2.5")
    tables = import_module("bd_materials.materials.plastics")
    family = "NYLON" if name == "PA12" else name.split()[0]
    rows = getattr(tables, f"{family}_MATERIALS")
    theirs = next(row for key, row in rows.items() if str(key) == NAMES[name])
    ours = look_up(load_catalogue().materials, name, "material")
    assert theirs.density / 1000 == pytest.approx(ours.density)
    for their_name, our_range, unit in (
        ("tensile_strength", ours.tensile, 1.0),
        ("yield_strength", ours.yield_stress, 1.0),
        ("modulus_of_elasticity", ours.modulus, 1.0),
        ("glass_transition_temperature", ours.glass_transition, 1.0),
        ("thermal_expansion", ours.expansion, 1e-6),
    ):
        if our_range is None:
            continue
        found = getattr(theirs, their_name)
        assert (found.min, found.max) == pytest.approx([value * unit for value in our_range]), their_name


@pytest.mark.parametrize("name", ["PLA", "ABS", "PETG", "PC", "TPU 95A"])
def test_densities_against_py_materials(name):
    require("py-materials", "3.10.0")
    path = next(
        path for path in metadata.files("py-materials") or () if str(path) == "pymat/data/plastics.toml"
    )
    theirs = tomllib.loads(path.read_text("utf-8"))[name.split()[0].lower()]["mechanical"]["density_value"]
    assert look_up(load_catalogue().materials, name, "material").density == pytest.approx(theirs, rel=0.01)


@pytest.mark.parametrize("gauge", [8, 10])
def test_gauges_of_wood_screws(gauge):
    screw = look_up(load_catalogue().wood_screws, f"#{gauge} countersunk wood screw", "screw")
    assert screw.shank == pytest.approx((0.060 + 0.013 * gauge) * 25.4, abs=5e-4)
    # Head diameters of ASME B18.6.3 by a public page: 0.312 and 0.362 in.
    assert screw.head_diameter == pytest.approx({8: 0.312, 10: 0.362}[gauge] * 25.4, abs=0.02)
