"""Relieving the back of a hold, so that it presses on its wall far from its bolt."""
