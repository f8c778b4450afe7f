"""Pure functions on arrays and solids, in mm and degrees: the only place that sees the kernel."""
