"""Pictures of the finished samples, for the README: ``python tests/pictures.py [folder] [sample ...]``."""

import argparse
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "app"))

from PIL import Image  # noqa: E402

from holdwright.catalogue.catalogue import load_catalogue  # noqa: E402
from holdwright.files.reading import read_sculpt  # noqa: E402
from holdwright.hold.feature import Bore  # noqa: E402
from holdwright.hold.hold import WHOLE, Hold  # noqa: E402
from holdwright.pipeline.recipe_file import find_recipe, load_recipe  # noqa: E402
from holdwright.pipeline.replay import replay  # noqa: E402
from holdwright.render.picture import picture  # noqa: E402

MOST_BYTES = 250_000
WIDE, TALL = (1000, 760), (760, 760)


def main() -> None:
    """Draw what was asked for."""
    parser = argparse.ArgumentParser(description="Draw the finished samples.")
    parser.add_argument("folder", nargs="?", type=Path, default=ROOT / "resources" / "pictures")
    parser.add_argument(
        "samples", nargs="*", default=["hall-jug", "hall-jug-revised", "hall-crimp", "hall-sloper"]
    )
    given = parser.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    for name in given.samples:
        draw(name, given.folder)


def draw(name: str, folder: Path) -> None:
    """Finish a sample by the starter recipe and draw it, raw and finished."""
    recipe = load_recipe(find_recipe("starter"))
    sculpt = read_sculpt(ROOT / "sample_data" / f"{name}.obj")
    results = replay(recipe, sculpt, catalogue=load_catalogue()).results
    raw = next(result.hold for result in results if result.operation == "scale_to_envelope")
    hold = results[-1].hold
    bore = hold.find(Bore)[0]
    picture({WHOLE: raw.whole}, folder / f"{name}-raw.png", "three_quarter", WIDE)
    picture(hold.solids, folder / f"{name}.png", "three_quarter", WIDE)
    picture(hold.solids, folder / f"{name}-front.png", "front", TALL)
    picture(hold.solids, folder / f"{name}-section.png", "side", TALL, section=bore.x)
    picture(hold.solids, folder / f"{name}-apart.png", "back", WIDE, apart=_room(hold))
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
