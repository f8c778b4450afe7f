"""What bytes sculpts were last read from, so that one that has changed on the disk is noticed."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from holdwright.pipeline.recipe import Recipe


class SculptBytes:
    """Digests of sculpts by path.

    Parameters
    ----------
    recipes
        What these say of their sculpts is known; the last says it last.
    revised
        Called when a sculpt turns out to have changed.
    """

    def __init__(self, recipes: Iterable[Recipe], revised: Callable[[], None]) -> None:
        sources = [recipe.source for recipe in recipes if recipe.source is not None]
        self._digests = {source.path: source.digest for source in sources if source.digest}
        self._revised = revised

    def took(self, path: Path, digest: str) -> bool:
        """Take note of what a sculpt was read from, and tell whether it had other bytes before."""
        known = self._digests.get(str(path), "")
        self._digests[str(path)] = digest
        if known in ("", digest):
            return False
        self._revised()
        return True

    def stamped(self, recipe: Recipe) -> Recipe:
        """Give the recipe with the digest of its sculpt as it was last read."""
        source = recipe.source
        if source is None or source.path not in self._digests:
            return recipe
        return recipe.with_source(replace(source, digest=self._digests[source.path]))

    def differ_from(self, saved: Recipe) -> bool:
        """Tell whether the sculpt of a saved recipe has other bytes than it says."""
        source = saved.source
        if source is None or not source.digest:
            return False
        return self._digests.get(source.path, source.digest) != source.digest
