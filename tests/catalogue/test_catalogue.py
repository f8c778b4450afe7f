"""The tables that ship, and what a wrong table is answered with."""

import pickle
import shutil
from pathlib import Path

import pytest

from holdwright.catalogue.catalogue import Catalogue, load_catalogue
from holdwright.catalogue.fasteners import pocket_diameter
from holdwright.errors import CatalogueError
from holdwright.resources import resource_folder

TABLES = ("threads", "clearance_holes", "screws", "washers")


@pytest.fixture
def tables(tmp_path: Path) -> Path:
    for table in TABLES:
        shutil.copytree(resource_folder() / table, tmp_path / table)
    return tmp_path


def test_shipped_tables_have_the_sizes_holds_are_bolted_with():
    catalogue = load_catalogue()
    assert {screw.thread for screw in catalogue.screws} == {"M8", "M10", "M12"}
    assert {(washer.standard, washer.thread) for washer in catalogue.washers} == {
        (standard, thread)
        for standard in ("ISO 7089", "ISO 7092", "ISO 7093", "ISO 7094")
        for thread in ("M8", "M10", "M12")
    }
    for row in (*catalogue.screws, *catalogue.washers):
        assert row.source
        assert (
            row.name == f"{row.thread} {row.name.split(' ', 1)[1].removesuffix(row.standard)}{row.standard}"
        )


def test_every_washer_goes_over_its_thread_and_under_the_head():
    catalogue = load_catalogue()
    for washer in catalogue.washers:
        for screw in catalogue.screws:
            if screw.thread == washer.thread:
                assert screw.d < washer.hole < screw.head.diameter < washer.outer


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
        ("clearance_holes", 'fit = "coarse"', 'fit = "medium"', "M8.*fine, medium, medium"),
        ("clearance_holes", "diameter = 8.4", "diameter = 7.4", "narrower than its thread"),
    ],
)
def test_a_wrong_table_is_named_with_row_and_field(tables, table, old, new, wanted):
    file = next(path for path in sorted((tables / table).glob("*.toml")) if old in path.read_text("utf-8"))
    file.write_text(file.read_text("utf-8").replace(old, new), "utf-8")
    with pytest.raises(CatalogueError, match=wanted):
        load_catalogue(tables)


def test_no_tables_at_all(tmp_path):
    with pytest.raises(CatalogueError, match=r"wants \.toml tables"):
        load_catalogue(tmp_path)


def test_an_empty_table_is_an_error(tables):
    (tables / "washers" / "own.toml").write_text("", "utf-8")
    with pytest.raises(CatalogueError, match=r"holds no rows"):
        load_catalogue(tables)
