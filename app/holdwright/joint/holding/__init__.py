"""How a hold stays put: loads on it, pressure on the wall, friction, overturning."""
