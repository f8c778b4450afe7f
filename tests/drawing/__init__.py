"""Pictures without a window."""
