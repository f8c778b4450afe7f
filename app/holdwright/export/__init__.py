"""What leaves the building."""
