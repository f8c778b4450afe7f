"""The figures of a joint under its conditions, each with limit and source."""
