"""Where a bore is best put: places rated by shape and safeties."""
