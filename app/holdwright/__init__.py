"""Holdwright: from a rough sculpt to a finished climbing hold."""

__version__ = "0.1.0"
