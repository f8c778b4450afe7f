"""Measuring solids: distances, sections, inside and outside, thickness."""
