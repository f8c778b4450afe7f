"""Sheets to test: of a hold put together by hand, and of a sample replayed once."""

from dataclasses import replace
from datetime import date

import pytest

import finished
from holdwright.catalogue.catalogue import load_catalogue
from holdwright.export.options import ExportOptions
from holdwright.export.parts import finished_parts
from holdwright.files.reading import read_sculpt
from holdwright.hold.feature import Rim
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe
from holdwright.pipeline.replaying.replay import replay
from holdwright.printing.part_estimates import all_settings, part_estimates, plain_estimates
from holdwright.resources import sample_folder
from holdwright.sheet.collect import SheetSource, sheet_content


def source_of(job, **changes):
    """What a sheet of a job is made from."""
    parts = finished_parts(job.replay.hold, job.recipe.print, ExportOptions())
    settings = all_settings(job.replay.hold.solids, job.recipe.print, load_catalogue())
    figures = plain_estimates(job.recipe.print, part_estimates(job.replay.hold.solids, settings))
    made = SheetSource(
        name=job.name,
        recipe=job.recipe,
        recipe_name=job.recipe_name,
        digest="d1" * 16,
        replay=job.replay,
        allowances=parts.allowances,
        estimates={name: each for name, each in figures.items() if "mass_g" in each},
        tabs=0,
        brim=False,
        report=f"{job.name}.report.json",
        day=date(2026, 11, 29),
    )
    return replace(made, **changes)


def with_stock(job, stock):
    """The job with so much stock below its finished back, in its features alone."""
    *others, last = job.replay.results
    features = tuple(
        replace(each, allowance=stock) if isinstance(each, Rim) else each for each in last.hold.features
    )
    changed = replace(last, hold=replace(last.hold, features=features))
    return replace(job, replay=replace(job.replay, results=(*others, changed)))


@pytest.fixture(scope="package")
def plain():
    """A sheet's source without a judged joint."""
    return source_of(finished.job())


@pytest.fixture(scope="package")
def plain_content(plain):
    return sheet_content(plain, load_catalogue())


@pytest.fixture(scope="package")
def crimp():
    """The source of a sample's sheet."""
    recipe = load_recipe(find_recipe("starter"))
    path = sample_folder() / "hall-crimp.obj"
    done = replay(recipe, read_sculpt(path), catalogue=load_catalogue())
    return source_of(replace(finished.job("hall-crimp"), recipe=recipe, replay=done))


@pytest.fixture(scope="package")
def crimp_content(crimp):
    return sheet_content(crimp, load_catalogue())
