"""The work sheet of an export. What draws it is loaded when one is asked for: starting does without."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.export.file_names import report_name
from holdwright.export.parts import BRIM, TAB_NAMES, FinishedParts
from holdwright.export.report_writing import Job
from holdwright.pipeline.recipes.recipe_file import recipe_digest
from holdwright.sheet.choice import SheetChoice


def sheet_bytes(job: Job, finished: FinishedParts, figures: Mapping[str, Any], choice: SheetChoice) -> bytes:
    """Draw the work sheet of a finished hold and give the bytes of its file.

    Parameters
    ----------
    figures
        What the report says under `print`.
    """
    from holdwright.sheet.collect import SheetSource
    from holdwright.sheet.sheet_file import sheet_file

    source = SheetSource(
        name=job.name,
        recipe=job.recipe,
        recipe_name=job.recipe_name,
        digest=recipe_digest(job.recipe),
        replay=job.replay,
        allowances=finished.allowances,
        estimates={name: each for name, each in figures.items() if "mass_g" in each},
        tabs=sum(part.name in TAB_NAMES for part in finished.parts),
        brim=any(part.name == BRIM for part in finished.parts),
        report=report_name(job.name),
        day=date.today(),
    )
    return sheet_file(source, load_catalogue(), choice)
