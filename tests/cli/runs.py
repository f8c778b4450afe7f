"""What a run of a command gives, and a recipe that does nothing but import."""

from collections.abc import Callable

Run = Callable[..., tuple[int, str, str]]
"""Takes a command's words; gives its exit code and what it wrote on both ways out."""

ONE_STEP = {"format": 1, "steps": [{"id": "s1", "operation": "import_sculpt", "parameters": {"unit": "mm"}}]}
