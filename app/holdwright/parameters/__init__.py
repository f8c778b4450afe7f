"""The vocabulary in which operations declare their parameters."""
