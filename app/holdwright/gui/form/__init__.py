"""The form of a step, built from what its parameters declare."""
