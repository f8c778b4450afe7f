"""Where a hold breaks first, and at what load.

The stress by finite elements, in order of the work:

- `cell_grid.voxelise(solids, cell, skins) -> CellGrid`: cells and sub-cells, `grid.regions` their materials.
- `cell_mesh.cut_cells(grid) -> CutCells`: cells joined where material touches, copied across slits.
- `elastic_model.ElasticBody.of(cells, moduli, poisson)`: stiffness; `moduli` in the order of `grid.regions`.
- `placing.placed(cells, points) -> PlacedPoints`: points seen from cells; `nodal(cells, placed, forces)`:
  forces on nodes.
- `back_and_seat.seat_points(cells, ...) -> (PlacedPoints, shares)`: what a washer presses on.
- `wall_contact.MountedHold(body, wall, bolts)`: the hold on its wall; `.tightened`, and `.loaded(forces) ->
  OnTheWall` for several cases, each a list's (3 n,) forces on nodes.
- `elastic_model.ElasticModel(body, supports).solve(forces)`: one case without a wall.
- `stress.stresses(body, on_the_wall.moved) -> (Samples, stress)`: six components, where, for which volume.
- `measure.exceeded(values, volumes, places) -> Exceeded`: what the hottest 200 mm3 exceed, and where.
"""
