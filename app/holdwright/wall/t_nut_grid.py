"""Where a wall's T-nuts are, and what each is called."""

import math
from collections.abc import Iterator, Mapping

from holdwright.wall.wall_file import ClimbingWall


def t_nuts(wall: ClimbingWall) -> Mapping[str, tuple[float, float]]:
    """Give the place (x, y) in mm of every T-nut by its name, such as "C5".

    Columns are letters from the left, rows numbers from below, counted through all panels. A T-nut whose
    flange would stick out of its panel is not there, and its name neither: so a letter is the same column in
    every row, by half a pitch where it is shifted.
    """
    panels, grid = wall.panels, wall.t_nuts
    rows = [
        (panel * panels.height + up, number)
        for panel in range(panels.rows)
        for number, up in enumerate(_along(grid.edge_y, grid.pitch_y, panels.height - grid.flange / 2.0))
    ]
    most = panels.width - grid.flange / 2.0
    across = len(list(_along(grid.edge_x, grid.pitch_x, most)))
    places = {}
    for row, (y, in_panel) in enumerate(rows, start=1):
        shift = grid.pitch_x / 2.0 if grid.stagger and in_panel % 2 else 0.0
        for panel in range(panels.columns):
            for column, x in enumerate(_along(grid.edge_x + shift, grid.pitch_x, most), start=1):
                places[f"{letters(panel * across + column)}{row}"] = (panel * panels.width + x, y)
    return places


def nearest_t_nut(places: Mapping[str, tuple[float, float]], x: float, y: float) -> str:
    """Name the T-nut next to a place, of those there are."""
    return min(places, key=lambda name: (places[name][0] - x) ** 2 + (places[name][1] - y) ** 2)


def next_t_nut(places: Mapping[str, tuple[float, float]], name: str, way: tuple[int, int]) -> str:
    """Name the T-nut one further along (1, 0), (-1, 0), (0, 1) or (0, -1); the same at the wall's end.

    Where rows are staggered the next row's nearer one is taken, at the right of two.
    """
    x, y = places[name]

    def cost(other: str) -> float:
        dx, dy = places[other][0] - x, places[other][1] - y
        along, across = dx * way[0] + dy * way[1], dx * way[1] - dy * way[0]
        if along < 1.0:
            return math.inf
        return along + 2.0 * abs(across) - 1e-6 * dx

    best = min(places, key=cost)
    return best if math.isfinite(cost(best)) else name


def letters(number: int) -> str:
    """Name a column, from 1: A to Z, then AA and so on."""
    text = ""
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def seams(wall: ClimbingWall) -> tuple[list[float], list[float]]:
    """Give the x of all upright edges of panels and the y of all level ones, mm."""
    panels = wall.panels
    return (
        [column * panels.width for column in range(panels.columns + 1)],
        [row * panels.height for row in range(panels.rows + 1)],
    )


def _along(first: float, pitch: float, length: float) -> Iterator[float]:
    at = first
    while at <= length:
        yield at
        at += pitch
