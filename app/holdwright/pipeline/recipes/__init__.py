"""Recipes, sets and their history: as values, as files, as JSON schema."""
