"""What work in the geometry process finds laid out: the recipe, its sculpt, and all that is remembered."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from holdwright.catalogue.catalogue import Catalogue
from holdwright.errors import RecipeError
from holdwright.geometry.mesh.sculpt import Sculpt
from holdwright.hold.hold import Hold
from holdwright.operations.base import Run
from holdwright.pipeline.recipes.recipe import Recipe
from holdwright.pipeline.replaying.cache import Cache
from holdwright.pipeline.replaying.replay import Replay, StepResult, replay, replay_steps
from holdwright.progress import Progress


@dataclass(frozen=True, eq=False)
class WorkContext:
    """The recipe and sculpt of one task, and the means to replay them."""

    recipe: Recipe
    sculpt_file: Path
    """recipe, sculpt_file: what is worked on."""
    sculpt: Callable[[Progress], Sculpt]
    """Gives the sculpt, read before or now; raises `InputError` where its file cannot be used."""
    catalogue: Catalogue
    cache: Cache
    """catalogue, cache: for the replay."""
    progress: Progress
    """Of the whole task."""
    send: Callable[[object], None]
    """Sends part of the result."""

    def run(self, progress: Progress) -> Run:
        """Give what an operation may use, for work that is part of one."""
        earlier = self.recipe.source.made_with if self.recipe.source is not None else None
        return Run(self.catalogue, progress, cache=self.cache.of_operations, earlier=earlier)

    def replay(self, progress: Progress) -> Replay:
        """Replay the recipe to its end and check the print; what is remembered is not done again.

        Raises
        ------
        HoldwrightError
            As the sculpt's reader or a step raised it.
        """
        sculpt = self.sculpt(progress.part(0.0, 0.2))
        rest, catalogue = progress.part(0.2, 1.0), self.catalogue
        return replay(
            self.recipe, sculpt, catalogue=catalogue, cache=self.cache, progress=rest, check_print=True
        )

    def steps(self, sculpt: Sculpt, progress: Progress, until: str | None = None) -> Iterator[StepResult]:
        """Replay the recipe on its sculpt step by step; see `replay.replay_steps`."""
        return replay_steps(
            self.recipe,
            sculpt,
            catalogue=self.catalogue,
            cache=self.cache,
            progress=progress,
            until=until,
        )

    def hold(self, step_id: str, key: str, progress: Progress) -> Hold:
        """Give the hold after a step: remembered by the key of its result, else replayed.

        Raises
        ------
        RecipeError
            When the recipe gives another result than the one of that key.
        HoldwrightError
            As the sculpt's reader or a step raised it.
        """
        outcome = self.cache.get(key)
        if outcome is not None:
            return outcome.hold
        sculpt = self.sculpt(progress.part(0.0, 0.2))
        *_, result = self.steps(sculpt, progress.part(0.2, 1.0), step_id)
        if result.key != key:
            raise RecipeError(
                f"Step {step_id} gives another result by now than the one asked for; ask again."
            )
        return result.hold
