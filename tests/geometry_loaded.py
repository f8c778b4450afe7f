"""Importing this loads what a geometry process works with; for the process that others are copied from."""

from importlib import import_module

from holdwright.loading import UNUSED, begin_loading, end_loading, load_lazily

begin_loading()
load_lazily(*UNUSED)
for name in (
    "pipeline.views.geometry_worker",
    "pipeline.views.display_results",
    "pipeline.views.print_view",
    "export.job",
):
    import_module(f"holdwright.{name}")
import_module("holdwright.catalogue.catalogue").load_catalogue()
end_loading()
