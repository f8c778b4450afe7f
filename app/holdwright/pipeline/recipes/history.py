"""Undo and redo: recipes that were, the one that is, and those that were undone. Never changed."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import PurePath
from typing import Final

from holdwright.operations import operation_title
from holdwright.parameters.describe import differences
from holdwright.pipeline.recipes.recipe import Recipe, Step
from holdwright.pipeline.recipes.recipe_file import recipe_text

MOST_ENTRIES: Final = 500
MOST_BYTES: Final = 16_000_000


@dataclass(frozen=True)
class Entry:
    """A recipe, and the change that led to it."""

    recipe: Recipe
    text: str = ""
    """What was changed, such as "seat depth 18 -> 22 mm"; blank for the first."""
    tag: str = ""
    """Names a change still going on, such as a slider's drag; blank for one that is done."""

    @cached_property
    def weight(self) -> int:
        """Bytes the recipe takes when written down."""
        return len(recipe_text(self.recipe, compact=True))


@dataclass(frozen=True)
class History:
    """The recipes of one document."""

    present: Entry
    """The recipe that is."""
    past: tuple[Entry, ...] = ()
    """Oldest first; the last is what an undo goes back to."""
    future: tuple[Entry, ...] = ()
    """What was undone; the first is what a redo goes on to."""

    @classmethod
    def of(cls, recipe: Recipe) -> "History":
        """Begin with a recipe and nothing to undo."""
        return cls(Entry(recipe))

    @property
    def recipe(self) -> Recipe:
        """The recipe that is."""
        return self.present.recipe

    @property
    def undo_text(self) -> str | None:
        """What an undo would take back, or None."""
        return self.present.text if self.past else None

    @property
    def redo_text(self) -> str | None:
        """What a redo would do again, or None."""
        return self.future[0].text if self.future else None

    def changed(
        self,
        recipe: Recipe,
        *,
        tag: str = "",
        most_entries: int = MOST_ENTRIES,
        most_bytes: int = MOST_BYTES,
    ) -> "History":
        """Give the history with one entry more, and nothing left to redo.

        Parameters
        ----------
        tag
            Changes that follow each other with one tag become one entry.
        most_entries, most_bytes
            Beyond either the oldest entries are forgotten.
        """
        squashed = bool(tag) and bool(self.past) and self.present.tag == tag
        past = self.past if squashed else (*self.past, self.present)
        before = past[-1].recipe
        if recipe == before:
            # Nothing changed, or a drag has come back to where it began: then there is nothing to undo.
            return History(past[-1], past[:-1], () if squashed else self.future)
        entry = Entry(recipe, change_text(before, recipe), tag)
        return History(entry, _within(past, most_entries - 1, most_bytes - entry.weight))

    def each(self, made: Callable[[Recipe], Recipe]) -> "History":
        """Give the history with something made of each recipe that leaves it equal."""
        present, *others = (
            replace(entry, recipe=made(entry.recipe)) for entry in (self.present, *self.past, *self.future)
        )
        count = len(self.past)
        return History(present, tuple(others[:count]), tuple(others[count:]))

    def amended(self, recipe: Recipe) -> "History":
        """Give the history with another recipe in the present entry: part of the change that led to it."""
        return replace(self, present=replace(self.present, recipe=recipe))

    def squash(self, tag: str) -> "History":
        """End the change of that tag: the next with the same tag is an entry of its own."""
        return replace(self, present=replace(self.present, tag="")) if self.present.tag == tag else self

    def undone(self) -> "History":
        """Give the history one change back; itself where there is none."""
        if not self.past:
            return self
        present = replace(self.present, tag="")
        return History(self.past[-1], self.past[:-1], (present, *self.future))

    def redone(self) -> "History":
        """Give the history one undone change on; itself where there is none."""
        if not self.future:
            return self
        return History(self.future[0], (*self.past, self.present), self.future[1:])

    def gone_to(self, recipe: Recipe) -> "History | None":
        """Give the history as it was when `recipe` was the one that is; None where that is forgotten.

        What followed it is left out, unless it was undone since.
        """
        if self.recipe == recipe:
            return self
        for number, entry in enumerate(self.future):
            if entry.recipe == recipe:
                past = (*self.past, self.present, *self.future[:number])
                return History(entry, past, self.future[number + 1 :])
        for number, entry in reversed(list(enumerate(self.past))):
            if entry.recipe == recipe:
                return History(entry, self.past[:number])
        return None


def replaced_sculpt(history: History) -> str | None:
    """Give the path of the sculpt that the last change put another in place of; None where it did not."""
    before, now = history.past[-1].recipe.source if history.past else None, history.recipe.source
    return before.path if before is not None and now is not None and before.path != now.path else None


def change_text(old: Recipe, new: Recipe) -> str:
    """Say in a few words what was changed between two recipes."""
    before = {step.id: step for step in old.steps}
    after = {step.id: step for step in new.steps}
    texts = [f"add {_title(step)}" for step in new.steps if step.id not in before]
    texts += [f"remove {_title(step)}" for step in old.steps if step.id not in after]
    if not texts and list(before) != list(after):
        texts = ["move " + next(_title(b) for a, b in zip(old.steps, new.steps, strict=True) if a.id != b.id)]
    for step in new.steps:
        if step.id in before:
            texts += _step_texts(before[step.id], step)
    for name, section in new.sections.items():
        texts += differences(old.sections[name], section)
    if old.source != new.source:
        texts.append(f"sculpt {PurePath(new.source.path).name}" if new.source else "no sculpt")
    return ", ".join(texts[:3]) + (", ..." if len(texts) > 3 else "")


def _step_texts(old: Step, new: Step) -> list[str]:
    if old.operation != new.operation:
        return [f"{_title(old)} -> {_title(new)}"]
    texts = list(differences(old.parameters, new.parameters))
    if old.enabled != new.enabled:
        texts.append(f"{'switch on' if new.enabled else 'switch off'} {_title(new)}")
    if old.note != new.note:
        texts.append(f"note on {_title(new)}")
    return texts


def _title(step: Step) -> str:
    title = operation_title(step.operation)
    return title[:1].lower() + title[1:]


def _within(past: tuple[Entry, ...], most_entries: int, most_bytes: int) -> tuple[Entry, ...]:
    """Keep the latest entries, one at the least, that fit."""
    kept, weight = 0, 0
    for entry in reversed(past):
        weight += entry.weight
        if kept >= 1 and (kept >= most_entries or weight > most_bytes):
            break
        kept += 1
    return past[len(past) - kept :]
