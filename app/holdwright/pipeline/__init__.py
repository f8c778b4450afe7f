"""Recipes, and replaying them."""
