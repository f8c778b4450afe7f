"""The tables that ship, and what a wrong table is answered with."""

import math
import pickle
import shutil
from dataclasses import fields
from pathlib import Path

import pytest

from holdwright.catalogue.catalogue import OWN_TABLES, TABLES, Catalogue, load_catalogue
from holdwright.catalogue.fasteners import pocket_diameter
from holdwright.errors import CatalogueError
from holdwright.resources import resource_folder

THREADS = ("M8", "M10", "M12", "3/8-16")


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    for table in TABLES:
        shutil.copytree(resource_folder() / table, tmp_path / table)
    return tmp_path


@pytest.fixture
def own(tmp_path: Path) -> Path:
    return tmp_path / "own.toml"


WASHER = """
[[washer]]
name = "{name}"
standard = "own"
thread = "M10"
hole = 10.5
outer = 40.0
thickness = 4.0
source = "measured"
tag = "P"
"""


def test_shipped_tables_have_the_sizes_holds_are_bolted_with():
    catalogue = load_catalogue()
    screws = catalogue.screws
    for thread in THREADS:
        kinds = {screw.head.kind for screw in screws if screw.thread == thread}
        assert {"socket_cap", "countersunk", "button", "hex"} <= kinds
        assert sum(washer.thread == thread for washer in catalogue.washers) >= 2
        assert any(nut.thread == thread for nut in catalogue.t_nuts)
    assert {(washer.standard, washer.thread) for washer in catalogue.washers} >= {
        (standard, thread)
        for standard in ("ISO 7089", "ISO 7092", "ISO 7093", "ISO 7094")
        for thread in ("M8", "M10", "M12")
    }
    for row in (*screws, *catalogue.washers):
        assert (
            row.name == f"{row.thread} {row.name.split(' ', 1)[1].removesuffix(row.standard)}{row.standard}"
        )


@pytest.mark.parametrize("table", [field.name for field in fields(Catalogue)])
def test_every_row_names_its_source(table):
    rows = getattr(load_catalogue(), table)
    assert rows
    for row in rows:
        assert len(row.source) > 3
        assert row.tag in ("S", "S2", "L", "P", "M", "C")
    names = load_catalogue().names(table)
    assert len(set(names)) == len(names)


def test_what_has_no_source_says_so():
    catalogue = load_catalogue()
    for table in ("nut_factors", "frictions", "load_cases", "panels", "t_nuts"):
        for row in getattr(catalogue, table):
            assert row.tag != "P" or "practice" in row.source or "guides" in row.source, row


def test_every_washer_goes_over_its_thread_and_under_the_head():
    catalogue = load_catalogue()
    for washer in catalogue.washers:
        for screw in catalogue.screws:
            if screw.thread == washer.thread and screw.head.kind == "socket_cap":
                assert screw.d < washer.hole < screw.head.diameter < washer.outer


def test_countersunk_heads_are_sharp_cones():
    catalogue = load_catalogue()
    sunk = [screw for screw in catalogue.screws if screw.head.angle is not None]
    assert {screw.head.kind for screw in sunk} == {"countersunk"}
    assert {screw.thread for screw in sunk} == set(THREADS)
    for screw in sunk:
        # A sharp cone is as high as its radii and its angle say, to the last digit of the table.
        height = (screw.head.diameter - screw.d) / 2 / math.tan(math.radians(screw.head.angle / 2))
        assert screw.head.height == pytest.approx(height, abs=0.02)
    assert catalogue.screw("M10 ISO 10642").head.angle == 90.0
    assert catalogue.screw("3/8 countersunk").head.angle == 82.0


def test_lengths_are_whole_millimetres_or_quarter_inches():
    catalogue = load_catalogue()
    for screw in catalogue.screws:
        step = 1.0 if screw.profile == "iso" else 6.35
        parts = [length / step for length in screw.lengths]
        assert parts == pytest.approx([round(part) for part in parts])
        assert list(screw.lengths) == sorted(set(screw.lengths))
        assert screw.lengths[0] <= 25.4
        assert screw.lengths[-1] >= 80.0


def test_allowable_pressures_follow_from_yield_and_creep():
    catalogue = load_catalogue()
    petg = next(row for row in catalogue.materials if row.name == "PETG")
    assert petg.allowable_sustained == pytest.approx(0.3 * 45.0)
    assert petg.allowable_short == pytest.approx(0.6 * 45.0)
    soft = next(row for row in catalogue.materials if row.name == "TPU 95A")
    assert soft.allowable_sustained is None


def test_own_rows_are_put_on_top(own):
    own.write_text(WASHER.format(name="M10 large washer ISO 7093") + WASHER.format(name="M10 plate"), "utf-8")
    catalogue = load_catalogue(own=own)
    assert catalogue.washer("M10 large washer ISO 7093").outer == 40.0
    assert catalogue.washer("M10 plate").source == "measured"
    shipped = load_catalogue().names("washers")
    assert catalogue.names("washers") == (*shipped, "M10 plate")
    assert load_catalogue().washer("M10 large washer ISO 7093").outer == 30.0


def test_own_rows_of_a_folder_and_by_environment(own, monkeypatch):
    folder = own.parent / "tables"
    folder.mkdir()
    (folder / "one.toml").write_text(WASHER.format(name="M10 plate"), "utf-8")
    (folder / "two.toml").write_text(
        '[[clearance_hole]]\nthread = "M10"\nfit = "medium"\ndiameter = 11.4\nsource = "tried"\ntag = "P"\n',
        "utf-8",
    )
    monkeypatch.setenv(OWN_TABLES, str(folder))
    catalogue = load_catalogue()
    assert catalogue.washer("M10 plate").outer == 40.0
    assert catalogue.screw("M10 socket cap ISO 4762").clearance("medium") == 11.4


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (
            WASHER.format(name="M10 plate").replace('source = "measured"\n', ""),
            r"row 1 \(M10 plate\), field 'source': is missing\.$",
        ),
        (
            WASHER.format(name="M10 plate").replace("40.0", '"40"').replace('tag = "P"', 'tag = "Q"'),
            r"field 'tag': must be 'S', .*, but is \"Q\"; field 'outer': must be a number, but is \"40\"\.$",
        ),
        (
            WASHER.format(name="M10 plate").replace("10.5", "0.406"),
            r"'M10 plate', field 'hole': 0.406.*in mm",
        ),
        (WASHER.format(name="M10 plate").replace("M10", "M9"), r"field 'thread': no row 'M9'"),
        ("[[nut]]\nname = 'x'\n", r"holds 'nut', which is not a table; choose from .*\[\[t_nut\]\]"),
        ("unit = 'inch'\n", r"holds 'unit', which is not a table"),
        ("washer = 3\n", "holds no rows"),
        ("[[washer", "not valid TOML"),
    ],
)
def test_a_wrong_own_table_is_named_with_row_and_field(own, text, wanted):
    own.write_text(text, "utf-8")
    with pytest.raises(CatalogueError, match=wanted):
        load_catalogue(own=own)


def test_own_tables_that_are_not_there(tmp_path):
    with pytest.raises(CatalogueError, match="nothing at"):
        load_catalogue(own=tmp_path / "none.toml")
    with pytest.raises(CatalogueError, match=r"no \.toml file"):
        load_catalogue(own=tmp_path)


def test_sizes_of_the_default_screw():
    screw = load_catalogue().screw("M10 socket cap ISO 4762")
    assert (screw.d, screw.pitch, screw.key) == (10.0, 1.5, 8.0)
    assert (screw.head.diameter, screw.head.height) == (16.0, 10.0)
    assert [screw.clearance(fit) for fit in ("fine", "medium", "coarse")] == [10.5, 11.0, 12.0]


def test_pocket_rule():
    catalogue = load_catalogue()
    screw = catalogue.screw("M10 socket cap ISO 4762")
    assert pocket_diameter(screw, None) == 18.0
    assert pocket_diameter(screw, catalogue.washer("ISO 7093 M10")) == 31.0
    # A washer hardly wider than the head must not take the room a bare head needs to be turned in.
    assert pocket_diameter(screw, catalogue.washer("ISO 7092 M10")) == 19.0
    # A hexagon head is turned by a socket that goes round it.
    assert pocket_diameter(catalogue.screw("M10 hex ISO 4017"), None) == 24.0
    assert pocket_diameter(catalogue.screw("M10 hex ISO 4017"), catalogue.washer("ISO 7089 M10")) == 24.0


@pytest.mark.parametrize("name", ["7093 m10", "ISO7093 M10", "M10 large washer ISO 7093", "m10, ISO 7093"])
def test_part_of_a_name_will_do_where_one_row_fits(name):
    assert load_catalogue().washer(name).name == "M10 large washer ISO 7093"


def test_names_that_fit_no_row_or_several_are_answered_with_the_nearest():
    catalogue = load_catalogue()
    with pytest.raises(CatalogueError, match=r"no such row.*'M10 socket cap ISO 4762'"):
        catalogue.screw("M10 socket cup ISO 4762")
    with pytest.raises(CatalogueError, match=r"several rows fit.*'M10 normal washer ISO 7089'"):
        catalogue.washer("M10")
    with pytest.raises(CatalogueError, match=r"no such row"):
        catalogue.washer("")
    with pytest.raises(CatalogueError, match=r"table is empty"):
        Catalogue().screw("M10")
    with pytest.raises(CatalogueError, match=r"no table 'nuts'"):
        catalogue.names("nuts")


def test_loaded_once_and_can_travel_to_another_process():
    catalogue = load_catalogue()
    assert load_catalogue() is catalogue
    assert pickle.loads(pickle.dumps(catalogue)) == catalogue


@pytest.mark.parametrize(
    ("table", "old", "new", "wanted"),
    [
        ("washers", "outer = 30.0", 'outer = "30"', r"iso_7093_large.toml, row 2 \(M10 large.*field 'outer'"),
        ("washers", "outer = 30.0", "outer = nan", "row 2.*field 'outer'"),
        ("washers", "outer = 30.0", "outer = 30.0\ncolour = 1", "row 2.*field 'colour'"),
        ("washers", "outer = 30.0", "outer = 10.0", "row 2.*hole 10.5 is not smaller than outer 10"),
        ("washers", "outer = 30.0", "outer = -30.0", "row 2.*field 'outer'"),
        ("washers", "outer = 30.0\n", "", "row 2.*field 'outer'"),
        ("washers", "outer = 30.0", "outer = = 30.0", "not valid TOML"),
        ("washers", 'name = "M10 large washer', 'name = "M8 large washer', "more than one row 'M8 large"),
        ("screws", 'tag = "L"', 'tag = "X"', "row 1.*field 'tag'"),
        ("screws", 'source = "', 'sauce = "', "row 1.*field '(source|sauce)'"),
        ("screws", 'thread = "M10"', 'thread = "M11"', "field 'thread'.*'M11'"),
        ("screws", "[[screw]]", "[[bolt]]", r"holds 'bolt'.*\[\[screw\]\]"),
        ("clearance_holes", 'fit = "coarse"', 'fit = "medium"', "3/8-16.*fine, medium, medium"),
        ("clearance_holes", "diameter = 8.4", "diameter = 7.4", "narrower than its thread"),
    ],
)
def test_a_wrong_table_is_named_with_row_and_field(tables, table, old, new, wanted):
    file = next(path for path in sorted((tables / table).glob("*.toml")) if old in path.read_text("utf-8"))
    file.write_text(file.read_text("utf-8").replace(old, new), "utf-8")
    with pytest.raises(CatalogueError, match=wanted):
        load_catalogue(tables)


def test_no_tables_at_all(tmp_path):
    with pytest.raises(CatalogueError, match=r"no \.toml tables"):
        load_catalogue(tmp_path)


def test_an_empty_table_is_an_error(tables):
    (tables / "washers" / "own.toml").write_text("", "utf-8")
    with pytest.raises(CatalogueError, match=r"holds no rows"):
        load_catalogue(tables)
