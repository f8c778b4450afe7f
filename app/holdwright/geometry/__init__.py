"""Pure functions on arrays and solids: the only place that sees the kernel. Millimetres, degrees, z up from the wall."""
