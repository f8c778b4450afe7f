"""Where a hold breaks first, and at what load."""
