"""Doing a recipe on a sculpt: keys and remembered results, places that follow, the verdicts at the end."""
