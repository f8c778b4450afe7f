"""The parts of the export page."""
