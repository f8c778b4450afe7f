"""Mechanics of one bolt or wood screw: preload, stiffness, bearing, shear."""
