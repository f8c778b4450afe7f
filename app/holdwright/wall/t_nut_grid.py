"""Where a wall's T-nuts are, and what each is called."""

from collections.abc import Iterator, Mapping

from holdwright.wall.wall_file import ClimbingWall


def t_nuts(wall: ClimbingWall) -> Mapping[str, tuple[float, float]]:
    """Give the place (x, y) in mm of every T-nut by its name, such as "C5".

    Columns are letters from the left, rows numbers from below, counted through all panels. A T-nut whose
    flange would stick out of its panel is not there.
    """
    panels, grid = wall.panels, wall.t_nuts
    rows = [
        (panel * panels.height + up, number)
        for panel in range(panels.rows)
        for number, up in enumerate(_along(grid.edge_y, grid.pitch_y, panels.height - grid.flange / 2.0))
    ]
    places = {}
    for row, (y, in_panel) in enumerate(rows, start=1):
        shift = grid.pitch_x / 2.0 if grid.stagger and in_panel % 2 else 0.0
        column = 0
        for panel in range(panels.columns):
            for x in _along(grid.edge_x + shift, grid.pitch_x, panels.width - grid.flange / 2.0):
                column += 1
                places[f"{letters(column)}{row}"] = (panel * panels.width + x, y)
    return places


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
