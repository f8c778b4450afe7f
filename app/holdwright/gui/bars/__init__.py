"""Bars round the view: what is open, how it is looked at, what it measures."""
