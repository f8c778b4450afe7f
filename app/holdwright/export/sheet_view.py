"""What the window shows of a work sheet before it is written."""

from dataclasses import dataclass, replace

from holdwright.export.job import ExportRequest
from holdwright.export.parts import check_finished, finished_parts
from holdwright.export.report_writing import Job, print_figures
from holdwright.export.sheet_writing import sheet_bytes
from holdwright.pipeline.views.work_context import WorkContext
from holdwright.sheet.choice import SheetChoice


@dataclass(frozen=True)
class SheetViewRequest:
    """Which export the sheet would belong to, and how finely its pages are drawn."""

    export: ExportRequest
    dots: float
    """To an inch."""


@dataclass(frozen=True)
class SheetView:
    """Pages of a work sheet as PNG files' bytes."""

    pages: tuple[bytes, ...]


def view_sheet(context: WorkContext, request: SheetViewRequest) -> SheetView:
    """Draw the sheet that an export would write; one in HTML says the same, so it too is shown as pages.

    Raises
    ------
    HoldwrightError
        As of `job.write_files`.
    """
    from holdwright.sheet.pdf_pages import page_pictures

    wanted, progress = request.export, context.progress
    replayed = replace(context.replay(progress.part(0.0, 0.6)), strength=wanted.strength)
    sculpt = context.sculpt(progress.part(0.6, 0.6))
    job = Job(wanted.name, sculpt, context.sculpt_file, context.recipe, wanted.recipe_name, replayed)
    check_finished(replayed.hold)
    progress.report(0.6, "slicing")
    finished = finished_parts(replayed.hold, context.recipe.print, wanted.options)
    figures = print_figures(job, finished.allowances)
    progress.report(0.8, "drawing the work sheet")
    paper = wanted.options.sheet or SheetChoice()
    pdf = sheet_bytes(job, finished, figures, SheetChoice(paper.paper, "pdf"))
    return SheetView(page_pictures(pdf, request.dots))
