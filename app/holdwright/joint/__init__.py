"""The bolted joint: whether a hold stays put on its wall, reckoned from its shape and the tables."""
