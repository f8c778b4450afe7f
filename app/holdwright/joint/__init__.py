"""The bolted joint: whether a hold stays put on its wall, computed from its shape and the tables."""
