"""The window: everything that imports Qt or VTK's interactive side."""
