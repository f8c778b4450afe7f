"""The left side of the window: the route card, and beneath it what deserves a look."""
