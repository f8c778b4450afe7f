"""A solid as a printer builds it: layer by layer."""
