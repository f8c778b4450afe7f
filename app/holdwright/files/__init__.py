"""Bytes to triangles and back, one module per format."""
