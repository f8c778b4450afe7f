"""Bores and screw holes: shape, cut, thickness round them, and the search for their place."""
