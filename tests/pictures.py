"""Pictures of the finished samples and of the window: ``python tests/pictures.py [folder] [sample ...]``.

``python tests/pictures.py --states FOLDER`` takes one of every state of the window instead, in both schemes.
"""

import argparse
import io
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "app"))

import numpy as np  # noqa: E402
from PIL import Image  # noqa: E402

from drawing.picture import drawn, save_picture  # noqa: E402
from holdwright.catalogue.catalogue import load_catalogue  # noqa: E402
from holdwright.entry import no_screen  # noqa: E402
from holdwright.export.job import Job, export  # noqa: E402
from holdwright.export.options import ExportOptions  # noqa: E402
from holdwright.files.reading import read_sculpt  # noqa: E402
from holdwright.geometry.mesh.boolean import union  # noqa: E402
from holdwright.geometry.mesh.frame import placement  # noqa: E402
from holdwright.geometry.mesh.solid import Solid  # noqa: E402
from holdwright.hold.feature import Bore  # noqa: E402
from holdwright.hold.hold import WHOLE, Hold  # noqa: E402
from holdwright.pipeline.recipes.recipe_file import find_recipe, load_recipe  # noqa: E402
from holdwright.pipeline.replaying.replay import StepResult, replay  # noqa: E402
from holdwright.sheet.choice import SheetChoice  # noqa: E402
from holdwright.sheet.pdf_pages import page_pictures  # noqa: E402

MOST_BYTES = 250_000
SHEET_DOTS = 88.0
"""To an inch."""
WIDE, SQUARE = (1000, 760), (440, 440)


def main() -> None:
    """Draw what was asked for."""
    parser = argparse.ArgumentParser(description="Draw the finished samples.")
    parser.add_argument("folder", nargs="?", type=Path, default=ROOT / "resources" / "pictures")
    parser.add_argument("samples", nargs="*", default=["hall-jug"])
    parser.add_argument("--states", metavar="FOLDER", type=Path, help="every state of the window, no samples")
    given = parser.parse_args()
    if given.states is not None:
        from window_pictures import draw_states

        draw_states(given.states)
        return
    given.folder.mkdir(parents=True, exist_ok=True)
    for name in given.samples:
        draw(name, given.folder)
    draw_set(given.folder)
    draw_sheet("hall-jug", given.folder)
    if no_screen():
        sys.stderr.write("No display here: the window's pictures are left as they are.\n")
        return
    from window_pictures import draw_window

    draw_window(given.folder)
    for path in sorted(given.folder.glob("window-*.png")):
        lighten(path)


def finish(name: str) -> tuple[StepResult, ...]:
    """Replay the starter recipe on a sample."""
    sculpt = read_sculpt(ROOT / "sample_data" / f"{name}.obj")
    return replay(load_recipe(find_recipe("starter")), sculpt, catalogue=load_catalogue()).results


def draw_set(folder: Path) -> None:
    """Draw all holds of the set beside each other on the wall."""
    sides: dict[str, list[Solid]] = {}
    for name, x, y in (("hall-jug", -122.0, 3.0), ("hall-crimp", 2.0, -14.0), ("hall-sloper", 126.0, 2.0)):
        for part, solid in finish(name)[-1].hold.solids.items():
            sides.setdefault(part, []).append(solid.moved(placement(shift=np.array([x, y, 0.0]))))
    together = {part: union(solids) for part, solids in sides.items()}
    save_picture(drawn(together, "above", (1200, 480)), folder / "hall-set.png")
    lighten(folder / "hall-set.png")


def draw_sheet(name: str, folder: Path) -> None:
    """Draw the first page of a sample's work sheet."""
    path, recipe = ROOT / "sample_data" / f"{name}.obj", load_recipe(find_recipe("starter"))
    sculpt = read_sculpt(path)
    done = replay(recipe, sculpt, catalogue=load_catalogue(), check_print=True)
    choice = SheetChoice()
    with tempfile.TemporaryDirectory() as out:
        job = Job(name, sculpt, path, recipe, "starter", done)
        export(job, Path(out), ["stl"], options=ExportOptions(sheet=choice))
        first, *_ = page_pictures((Path(out) / choice.name(name)).read_bytes(), SHEET_DOTS)
    with Image.open(io.BytesIO(first)) as page:
        fewer = page.convert("RGB").quantize(colors=256, dither=Image.Dither.NONE)
    fewer.save(folder / f"{name}-sheet.png", optimize=True)


def draw(name: str, folder: Path) -> None:
    """Finish a sample by the starter recipe and draw it, raw and finished."""
    results = finish(name)
    raw = next(result.hold for result in results if result.operation == "scale_to_envelope")
    hold = results[-1].hold
    bore = hold.find(Bore)[0]
    save_picture(drawn({WHOLE: raw.whole}, "three_quarter", WIDE), folder / f"{name}-raw.png")
    save_picture(drawn(hold.solids, "three_quarter", WIDE), folder / f"{name}-finished.png")
    side_by_side = [
        drawn(hold.solids, "front", SQUARE, wall=False),
        drawn(hold.solids, "side", SQUARE, section=bore.x),
        drawn(hold.solids, "back", SQUARE, apart=_room(hold)),
    ]
    Image.fromarray(np.concatenate(side_by_side, axis=1)).save(folder / f"{name}.png", optimize=True)
    for path in sorted(folder.glob(f"{name}*.png")):
        lighten(path)


def _room(hold: Hold) -> float:
    """How far the core is moved so that it comes clear of the shell."""
    return 0.9 * float(hold.solids["core"].size[2]) + 12.0


def lighten(path: Path) -> None:
    """Keep a picture small enough for a repository: fewer colours where it is too heavy."""
    if path.stat().st_size > MOST_BYTES:
        with Image.open(path) as image:
            fewer = image.convert("RGB").quantize(colors=256, dither=Image.Dither.FLOYDSTEINBERG)
        fewer.save(path, optimize=True)


if __name__ == "__main__":
    main()
