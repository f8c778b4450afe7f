"""Make the sample sculpts anew: ``python sample_data/make_samples.py [folder] [--seed n]``.

Everything here is invented, see README.md beside this file. The same seed gives the same sculpts.
"""

import argparse
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from clay import (
    Field,
    Floats,
    handmade,
    joined,
    pebble,
    roll,
    scooped,
    settled,
    skin,
    slope,
    smooth_path,
    standing,
)
from strokes import Polygons, blob, kidney, rounded, slab, stroke

SEED = 7


@dataclass
class Sculpt:
    """A sculpt as it leaves the session: named groups in one file.

    Attributes
    ----------
    groups
        Name and polygons of each, in file order, in mm as it hung in the sculptor's mind.
    unit
        File units in one mm.
    turn, shift
        How the whole hung in the room: heading, pitch and roll in degrees, and shift in file units.
    keyword
        What starts a group in the file, "o" or "g".
    inside_out
        Names of groups whose faces are wound the wrong way round.
    """

    unit: float
    turn: tuple[float, float, float]
    shift: tuple[float, float, float]
    keyword: str = "o"
    groups: list[tuple[str, Polygons]] = field(default_factory=list)
    inside_out: tuple[str, ...] = ()

    def add(self, name: str, polygons: Polygons) -> None:
        """Add a group."""
        self.groups.append((name, polygons))

    def write(self, path: Path, decimals: int) -> None:
        """Write the groups as OBJ."""
        rotation = rotation_of(self.turn)
        lines = ["# sculpting session, exported as polygons"]
        base = 1
        for name, (points, faces) in self.groups:
            lines.append(f"{self.keyword} {name}")
            placed = points @ rotation.T * self.unit + np.array(self.shift)
            lines += [f"v {x:.{decimals}f} {y:.{decimals}f} {z:.{decimals}f}" for x, y, z in placed]
            order = -1 if name in self.inside_out else 1
            lines += ["f " + " ".join(str(base + corner) for corner in face[::order]) for face in faces]
            base += len(points)
        path.write_text("\n".join(lines) + "\n", encoding="ascii", newline="\n")


def rotation_of(turn: tuple[float, float, float]) -> Floats:
    """Give the (3, 3) rotation from the hold's axes to the room's, whose up is +y."""
    heading, pitch, roll = np.radians(turn)
    out = np.array([np.sin(heading) * np.cos(pitch), np.sin(pitch), np.cos(heading) * np.cos(pitch)])
    right = np.array([np.cos(heading), 0.0, -np.sin(heading)])
    up = np.cross(out, right)
    across = np.cos(roll) * right + np.sin(roll) * up
    return np.stack([across, np.cross(out, across), out], axis=1)


def on(body: Field, path: list[list[float]], samples: int, depth: float, dip: float = 5.0) -> Floats:
    """Draw a line along a body, its middle `depth` mm outside the skin, its ends `dip` mm deeper."""
    along = np.linspace(-1, 1, samples + 1)
    return settled(body, smooth_path(path, samples), depth - dip * np.abs(along) ** 8, rounds=8)


def jug(generator: np.random.Generator, revised: bool = False) -> Sculpt:
    """Sculpt a ram's head: a deep lip to hang from, two horns, a fleece; revised, a higher lip and a chin."""
    lift, curl = (2.5, 4.0) if revised else (0.0, 0.0)
    body = pebble((0, 0, -4), (50, 51, 29), 2.5)
    body = joined(body, pebble((1, -12 + lift, 19), (41, 35, 34.5), 2.4), 16)
    crest = [[-40, 8, 20], [-24, 19, 42], [2, 23 + lift, 49], [25, 18, 42], [40, 6, 20]]
    body = joined(body, roll(crest, [9, 10.5, 11, 10.5, 9]), 15)
    spoon = roll([[-28, 28, 28], [0, 25 + lift, 29], [28, 27, 28]], [8, 11, 8])
    spoon = joined(spoon, roll([[-31, 48, 42], [0, 46 + lift, 43], [31, 47, 42]], [12, 17, 12]), 12)
    body = handmade(standing(scooped(body, spoon, 9), 5, 5), generator, 0.8, 34)
    sculpt = Sculpt(0.001, (147.0, 31.0, 2.0), (0.21, 1.32, -0.44), inside_out=("horn_right",))
    sculpt.add("head", skin(body, (-64, -60, -9), (64, 60, 68), 1.9))
    for side, name in ((-1, "left"), (1, "right")):
        path = [[28, 8, 20], [39, 15, 27], [47, 12, 30], [50, 1, 32], [48, -9, 36], [45, -17 - curl / 2, 42]]
        path.append([42, -25 - curl, 48])
        line = smooth_path([[side * x, y, z] for x, y, z in path], 36)
        sculpt.add(
            f"horn_{name}",
            stroke(
                line,
                np.interp(np.linspace(0, 1, 37), [0, 0.2, 0.6, 0.84, 1], [9, 10, 8.5, 5.2, 0.8]),
                tip=True,
            ),
        )
        eye = settled(body, np.array([side * 26.0, 7.0, 46.0]), -2.0)
        sculpt.add(f"eye_{name}", blob(eye, (6, 6, 6), generator, 0.06))
    for k, x in enumerate((-33, -21, 21, 33)):
        line = on(body, [[x * 1.15, -38, 20], [x * 1.1, -28, 44], [x * 0.9, -10, 54]], 36, -0.5)
        sculpt.add(f"fleece_{k + 1}", stroke(line, rounded(4.6, 37, 14), kidney(), facing=slope(body, line)))
    sculpt.add("ground", slab((-66, -62, -20), (66, 64, 0)))
    if revised:
        chin = settled(body, np.array([0.0, -40.0, 24.0]), -4.0)
        sculpt.add("chin", blob(chin, (16, 9, 10), generator, 0.08))
        sculpt.groups.reverse()
        sculpt.turn, sculpt.shift = (139.0, 26.0, 0.5), (0.27, 1.18, -0.36)
    return sculpt


def jug_revised(generator: np.random.Generator) -> Sculpt:
    """Sculpt the ram's head of the week after."""
    return jug(generator, revised=True)


def crimp(generator: np.random.Generator) -> Sculpt:
    """Sculpt a breaking wave: an edge for the fingertips, ripples below it."""
    body = pebble((0, -6, -4), (55, 34, 35), 2.5)
    crest = roll(
        [[-48, 0, 12], [-28, 9, 25], [-2, 14, 31], [24, 16, 31], [44, 8, 22], [50, -6, 12]],
        [7, 8, 8.5, 9, 9, 8],
    )
    body = joined(body, crest, 12)
    body = scooped(
        body, roll([[-44, 22, 22], [-8, 29, 25], [26, 31, 26], [48, 28, 24]], [8, 11, 11.5, 10]), 6
    )
    body = handmade(standing(body, 5, 4), generator, 0.7, 30)
    sculpt = Sculpt(0.0437, (-68.0, -22.0, -3.0), (11.0, -3.5, 7.25), "g", inside_out=("ripple_2",))
    sculpt.add("wave", skin(body, (-66, -50, -9), (66, 40, 46), 1.7))
    for k, (y, radius) in enumerate(((-17, 4.2), (-27, 3.8), (-36, 3.2))):
        reach = 42 - 4 * k
        path = [
            [-reach, y + 3, 10],
            [-reach / 2, y - 1, 24],
            [0, y, 30],
            [reach / 2, y - 1, 24],
            [reach, y + 2, 10],
        ]
        line = on(body, path, 48, -0.6)
        sculpt.add(
            f"ripple_{k + 1}", stroke(line, rounded(radius, 49, 14), kidney(), facing=slope(body, line))
        )
    for k, (x, y, size) in enumerate(((-42, 19, 8), (-31, 25, 6), (-49, 9, 6))):
        foam = settled(body, np.array([x, y, 22.0]), -size / 3)
        sculpt.add(f"foam_{k + 1}", blob(foam, (size, size, size), generator, 0.07))
    sculpt.add("ground_block", slab((-66, -50, -15), (68, 44, 0)))
    return sculpt


def sloper(generator: np.random.Generator) -> Sculpt:
    """Sculpt a scallop shell: a round sloper with ribs to squeeze and a waist for a pinch."""
    body = pebble((0, 6, -6), (55, 48, 50), 2.3)
    body = joined(body, pebble((0, -40, -4), (30, 17, 26), 2.4), 18)
    body = scooped(body, roll([[-62, -34, 34], [-56, -30, 10], [-58, -28, -10]], [17, 15, 14]), 12)
    body = scooped(body, roll([[62, -34, 34], [56, -30, 10], [58, -28, -10]], [17, 15, 14]), 12)
    body = handmade(standing(body, 5, 5), generator, 0.7, 40)
    sculpt = Sculpt(0.001, (24.0, 48.0, 1.5), (-0.65, 0.92, 0.18), inside_out=("rib_4",))
    sculpt.add("shell_body", skin(body, (-66, -66, -9), (66, 62, 56), 2.0))
    for k, angle in enumerate(np.radians([-62, -37, -12, 12, 37, 62])):
        length = (62, 74, 80, 80, 74, 62)[k]
        places = [
            [t * length * np.sin(angle), -34 + t * length * np.cos(angle)]
            for t in (0.12, 0.36, 0.6, 0.84, 1.08)
        ]
        path = [[x, y, 10 + 38 * np.sqrt(max(1 - (x / 60) ** 2 - ((y - 4) / 58) ** 2, 0))] for x, y in places]
        line = on(body, path, 48, -0.5)
        sculpt.add(f"rib_{k + 1}", stroke(line, rounded(7.0, 49, 34), kidney(), facing=slope(body, line)))
    sculpt.add("block", slab((-68, -66, -24), (68, 64, 0)))
    return sculpt


SAMPLES: dict[str, tuple[Callable[[np.random.Generator], Sculpt], int]] = {
    "hall-jug.obj": (jug, 5),
    "hall-jug-revised.obj": (jug_revised, 5),
    "hall-crimp.obj": (crimp, 4),
    "hall-sloper.obj": (sloper, 5),
}


def make(folder: Path, seed: int = SEED, names: Iterable[str] = tuple(SAMPLES)) -> list[Path]:
    """Write samples into `folder` and give their paths."""
    paths = []
    for name in names:
        sculptor, decimals = SAMPLES[name]
        path = folder / name
        sculptor(np.random.default_rng(seed)).write(path, decimals)
        paths.append(path)
    return paths


def main() -> None:
    """Make the samples."""
    parser = argparse.ArgumentParser(description="Make the sample sculpts.")
    parser.add_argument("folder", nargs="?", type=Path, default=Path(__file__).resolve().parent)
    parser.add_argument("--seed", type=int, default=SEED)
    given = parser.parse_args()
    for path in make(given.folder, given.seed):
        print(f"{path.name}: {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
