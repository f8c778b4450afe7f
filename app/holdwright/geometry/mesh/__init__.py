"""Meshes and solids: what every step works on, and the plain operations on them."""
