"""Splitting a hold into shell and core."""
