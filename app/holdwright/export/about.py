"""What a 3MF file says of the hold besides its meshes."""

from datetime import date
from typing import Final

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.errors import ExportError, HoldwrightError
from holdwright.export.options import ExportOptions
from holdwright.export.parts import HOLDING_DOWN, FinishedParts, held_part
from holdwright.export.report_writing import Job
from holdwright.files.write_3mf import About, BaseMaterial
from holdwright.hold.hold import CORE, SHELL
from holdwright.pipeline.recipes.recipe_file import recipe_digest
from holdwright.printable import printable
from holdwright.printing.part_estimates import all_settings, settings_in_words
from holdwright.render import tones

COLOURS: Final = {SHELL: tones.SHELL, CORE: tones.CORE}
"""Display colours: sand and teal, apart under every colour blindness."""


def about_hold(job: Job, finished: FinishedParts, options: ExportOptions, thumbnail: bytes) -> About:
    """Tell of the hold what the core specification has names for, and the recipe's digest.

    Blank wishes are left out. Only the date makes two exports of one hold differ.
    """
    metadata = {
        "Designer": printable(options.designer.strip()),
        "LicenseTerms": printable(options.licence.strip()),
        "Description": _description(job, finished),
        "CreationDate": date.today().isoformat(),
        "hw:RecipeDigest": recipe_digest(job.recipe),
    }
    return About(
        job.name,
        {name: text for name, text in metadata.items() if text},
        {
            name: BaseMaterial(of, COLOURS.get(of, COLOURS[SHELL]))
            for name, of in _materials(finished).items()
        },
        thumbnail,
    )


def thumbnail_of(finished: FinishedParts) -> tuple[bytes, str]:
    """Draw the parts as PNG, or say why there is no picture: a machine without OpenGL draws none."""
    from holdwright.render import picture  # takes long to load, and only 3MF asks for it

    solids = {part.name: part.solid for part in finished.parts if part.name not in HOLDING_DOWN}
    try:
        return picture.picture_of(solids), ""
    except ExportError as error:
        return b"", f"the 3MF file has no picture of the hold. {error}"


def _materials(finished: FinishedParts) -> dict[str, str]:
    """Give the part in whose material each part is printed: a brim or tab in that of what it holds down."""
    names = [part.name for part in finished.parts]
    return {name: held_part(names) if name in HOLDING_DOWN else name for name in names}


def _description(job: Job, finished: FinishedParts) -> str:
    names = dict.fromkeys(_materials(finished).values())
    try:
        printed = settings_in_words(all_settings(names, job.recipe.print, load_catalogue()))
    except HoldwrightError as error:  # the meshes are right all the same
        printed = [str(error)]
    sizes = [
        f"{what} size {x:.1f} x {y:.1f} x {z:.1f} mm"
        for what, (x, y, z) in (
            ("true", finished.allowances.true_size),
            ("print", finished.allowances.print_size),
        )
    ]
    return "; ".join(["Climbing hold", *sizes, *finished.allowances.in_words, *printed])
