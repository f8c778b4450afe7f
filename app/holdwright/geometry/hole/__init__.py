"""Bores and screw holes: shape, cut, walls, and the search for their place."""
