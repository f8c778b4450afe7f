"""The parts of the joint card."""
