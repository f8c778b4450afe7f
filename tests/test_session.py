from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from holdwright.errors import HoldwrightError, ParameterError, RecipeError
from holdwright.files.on_disk import digest_of
from holdwright.hold.earlier_sculpt import EarlierSculpt
from holdwright.hold.earlier_steps import EarlierStep
from holdwright.hold.finding import Point
from holdwright.pipeline.recipes.history import History
from holdwright.pipeline.recipes.recipe import Recipe, Source
from holdwright.pipeline.recipes.recipe_file import load_recipe
from holdwright.pipeline.replaying.replay import replay_steps
from holdwright.session import Session, open_session, unsaved_changes
from pipeline.toys import TOYS, sculpt, toys
from recipes import new_recipe

__all__ = ["toys"]
pytestmark = pytest.mark.usefixtures("toys")

CLIP = TOYS[2]


def start() -> Recipe:
    return new_recipe().inserted(CLIP)


def session(path: Path | None = None, **options: Any) -> Session:
    return Session(History.of(start()), path, **options)


def heard_by(open_document: Session) -> list[str]:
    heard: list[str] = []
    open_document.listen(heard.append)
    return heard


def test_listeners_hear_what_has_changed() -> None:
    document = session()
    heard = heard_by(document)
    document.edit("s2", {"height": 5})
    document.edit("s2", {"height": 5})
    document.undo()
    document.undo()
    document.redo()
    assert heard == ["recipe"] * 3
    assert document.add("grow") == "s3" == document.selected
    assert heard[3:] == ["recipe", "selected"]
    forget = document.listen(heard.append)
    forget()
    document.change(document.recipe.toggled("s3"))
    assert len(heard) == 6


def test_a_refused_command_changes_nothing() -> None:
    document = session()
    heard = heard_by(document)
    for command in (
        lambda: document.edit("s2", {"height": -1}),
        lambda: document.remove("s1"),
        lambda: document.add("polish"),
        lambda: document.add("bring"),
        lambda: document.change(document.recipe.toggled("s9")),
        lambda: setattr(document, "selected", "s9"),
        document.save,
    ):
        with pytest.raises(HoldwrightError):
            command()
    assert heard == []
    assert not document.is_dirty
    assert document.history == History.of(start())


def test_a_selection_goes_with_its_step_and_comes_back_with_it() -> None:
    document = session()
    document.selected = "s2"
    document.remove("s2")
    assert document.selected is None
    document.undo()
    assert document.selected == "s2"


def test_a_slider_is_undone_in_one() -> None:
    document = session()
    for height in range(4, 9):
        document.edit("s2", {"height": height}, tag="s2.height")
    document.settle("s2.height")
    document.edit("s2", {"height": 20}, tag="s2.height")
    assert document.history.undo_text == "clip height 8 -> 20 mm"
    document.undo()
    document.undo()
    assert document.recipe == start()


def test_a_file_is_written_opened_and_moved_with_its_sculpt(tmp_path: Path) -> None:
    document = session()
    document.use_sculpt(tmp_path / "sculpts" / "a.obj", "00ff")
    document.change(document.recipe.noted("s2", "by hand"))
    assert document.is_dirty
    (tmp_path / "one").mkdir()
    document.save(tmp_path / "one" / "a.json")
    assert not document.is_dirty
    assert load_recipe(tmp_path / "one" / "a.json").source == Source("../sculpts/a.obj", "00ff")
    document.save(tmp_path / "b.json")
    assert document.path == tmp_path / "b.json"
    assert load_recipe(tmp_path / "b.json").source == Source("sculpts/a.obj", "00ff")
    for path in (tmp_path / "one" / "a.json", tmp_path / "b.json"):
        assert open_session(path).recipe == document.recipe


def test_undo_survives_closing_and_opening(tmp_path: Path) -> None:
    path, kept = tmp_path / "a.json", tmp_path / "kept"
    document = session(autosaves=kept)
    document.edit("s2", {"height": 5})
    document.save(path)
    assert unsaved_changes(path, kept) is None
    again = open_session(path, autosaves=kept)
    assert not again.is_dirty
    again.undo()
    assert again.recipe == start()
    assert again.is_dirty


def test_the_sculpts_bytes_are_remembered_with_the_recipe_and_are_no_edit(tmp_path: Path) -> None:
    path, kept, sculpt_path = tmp_path / "a.json", tmp_path / "kept", tmp_path / "a.obj"
    document = session(autosaves=kept)
    document.use_sculpt(sculpt_path)
    assert not document.sculpts.took(sculpt_path, "00ff")
    document.save(path)
    assert load_recipe(path).source == Source("a.obj")
    assert load_recipe(path).source.digest == "00ff"
    again = open_session(path, autosaves=kept)
    assert again.history.past, "the history fits, digest or none"
    assert not again.sculpts.took(sculpt_path, "00ff")
    assert not again.is_dirty
    assert again.sculpts.took(sculpt_path, "00aa")
    assert again.is_dirty
    assert not again.sculpts.took(tmp_path / "b.obj", "00bb")
    again.save()
    assert not again.is_dirty
    assert load_recipe(path).source.digest == "00aa"
    assert not open_session(path, autosaves=kept).sculpts.took(sculpt_path, "00aa")


def test_what_is_remembered_of_a_sculpt_goes_into_file_and_history_and_to_the_next_sculpt(
    tmp_path: Path,
) -> None:
    """It is written once for a whole history, and is no edit."""
    path, first, second = tmp_path / "plain.json", tmp_path / "a.obj", tmp_path / "b.obj"
    memory = EarlierSculpt("d" * 32, (0.0, 0.5, 0.0), (0.0, 0.0, 0.0), (1.0, 2.5, 3.0), "A" * 400, 12.5)
    session = Session(History.of(new_recipe()), path, autosaves=tmp_path / "kept")
    session.use_sculpt(first)
    session.sculpts.took(first, "d" * 32)
    session.sculpts.imported(first, memory)
    session.edit("s1", {"leave_out": ["ground"]})
    session.save()
    assert not session.is_dirty
    assert load_recipe(path).source.made_with == memory
    (kept,) = (tmp_path / "kept").glob("*.json")
    assert kept.read_text().count(memory.points) == 1
    opened = open_session(path, autosaves=tmp_path / "kept")
    assert opened.recipe.source.made_with == memory
    assert opened.history.undo_text
    opened.undo()
    assert opened.recipe.source.made_with == memory
    session.use_sculpt(second)
    assert session.recipe.source == Source(str(second.absolute()))
    assert session.recipe.source.made_with == memory, "the next sculpt is laid on the one before"


def test_a_sculpt_that_comes_back_is_laid_on_what_it_was(tmp_path: Path) -> None:
    """Also where its file was changed and put back; not once the recipe is another."""
    path, other = tmp_path / "a.obj", tmp_path / "b.obj"
    first, second = (
        EarlierSculpt(letter * 32, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (1.0, 1.0, size), "A" * 12)
        for letter, size in (("1", 2.0), ("2", 3.0))
    )
    session = Session(History.of(new_recipe()))

    def done(path: Path, memory: EarlierSculpt, *found: Point) -> None:
        made_by = session.recipe
        session.sculpts.took(path, digest_of(path))
        session.sculpts.imported(path, memory)
        session.sculpts.finished(made_by, (EarlierStep("s1", found=found),))

    def laid_on() -> tuple[EarlierSculpt | None, tuple[EarlierStep, ...]]:
        return session.recipe.source.made_with, session.recipe.source.earlier_steps

    path.write_bytes(b"one")
    other.write_bytes(b"two!")
    session.use_sculpt(path)
    done(path, first, (1.0, 2.0, 3.0))
    session.use_sculpt(other)
    revised = laid_on()
    assert revised == (first, (EarlierStep("s1", found=((1.0, 2.0, 3.0),)),))
    done(other, second, (4.0, 5.0, 6.0))
    session.use_sculpt(path)
    assert laid_on() == (None, ())
    done(path, first, (1.0, 2.0, 3.0))
    path.write_bytes(b"two!")
    session.use_sculpt(path)
    assert laid_on() == revised
    done(path, second, (4.0, 5.0, 6.0))
    path.write_bytes(b"one")
    session.edit("s1", {"leave_out": ["ground"]})
    session.use_sculpt(path)
    assert laid_on()[0] == second, "the recipe as it is was not done on it"


def test_unsaved_changes_can_be_recovered_or_dropped(tmp_path: Path) -> None:
    path, kept = tmp_path / "a.json", tmp_path / "kept"
    document = session(path, autosaves=kept)
    document.save()
    document.edit("s2", {"height": 5})
    document.autosave()
    lost = unsaved_changes(path, kept)
    assert lost is not None
    again = Session(lost.history, path, saved=lost.saved, autosaves=kept)
    assert again.recipe == document.recipe
    assert again.is_dirty
    assert open_session(path, autosaves=kept).recipe == start()
    again.autosave(as_saved=True)
    assert unsaved_changes(path, kept) is None


@pytest.mark.parametrize("after", [Session.undo, lambda document: document.edit("s2", {"height": 7})])
def test_what_can_be_undone_from_the_file_survives_changes_that_are_dropped(after, tmp_path: Path) -> None:
    path, kept = tmp_path / "a.json", tmp_path / "kept"
    document = session(path, autosaves=kept)
    document.edit("s2", {"height": 5})
    document.save()
    saved = document.recipe
    after(document)
    assert document.is_dirty
    document.autosave(as_saved=True)
    assert unsaved_changes(path, kept) is None
    again = open_session(path, autosaves=kept)
    assert again.recipe == saved
    assert not again.is_dirty
    again.undo()
    assert again.recipe == start()


def test_a_document_without_a_file_is_kept_until_it_has_one(tmp_path: Path) -> None:
    document = session(autosaves=tmp_path)
    document.edit("s2", {"height": 5})
    document.autosave()
    lost = unsaved_changes(None, tmp_path)
    assert lost is not None
    assert Session(lost.history, saved=lost.saved, autosaves=tmp_path).is_dirty
    document.save(tmp_path / "a.json")
    assert unsaved_changes(None, tmp_path) is None


def test_results_are_current_until_something_before_them_changes() -> None:
    document = session()
    heard = heard_by(document)
    for result in replay_steps(document.recipe, sculpt(), catalogue=object()):  # type: ignore[arg-type]
        document.results.took(result, document.recipe)
    assert heard == ["results"] * 2

    def current() -> list[str]:
        steps = document.recipe.steps
        return [step.id for step in steps if document.results.current(step.id, document.recipe)]

    assert current() == ["s1", "s2"]
    assert [step for step, _ in document.results.findings(document.recipe)] == ["s2"]
    document.change(document.recipe.noted("s1", "words alone change nothing"))
    assert current() == ["s1", "s2"]
    document.edit("s2", {"height": 5})
    assert current() == ["s1"]
    assert document.results.last("s2") is not None
    document.undo()
    assert current() == ["s1", "s2"]
    document.add("grow")
    assert current() == ["s1"]
    document.change(document.recipe.toggled("s3"))
    assert current() == ["s1", "s2"]
    document.use_sculpt(Path("b.obj"))
    assert current() == []


class AgainstAPlainList(RuleBasedStateMachine):
    """The session beside a list of recipes and a place in it."""

    @initialize()
    def begin(self) -> None:
        self.session = session()
        self.recipes = [start()]
        self.place = 0

    def change(self, recipe: Recipe) -> None:
        if recipe != self.recipes[self.place]:
            self.recipes = [*self.recipes[: self.place + 1], recipe]
            self.place += 1

    @property
    def recipe(self) -> Recipe:
        return self.recipes[self.place]

    @rule(which=st.integers(0, 5), height=st.integers(-1, 9))
    def edit(self, which: int, height: int) -> None:
        step = self.recipe.steps[which % len(self.recipe.steps)]
        try:
            self.change(self.recipe.with_parameters(step.id, {"height": height}))
        except ParameterError:
            with pytest.raises(ParameterError):
                self.session.edit(step.id, {"height": height})
        else:
            self.session.edit(step.id, {"height": height})

    @rule(which=st.integers(0, 5))
    def toggle(self, which: int) -> None:
        step = self.recipe.steps[which % len(self.recipe.steps)]
        self.change(self.recipe.toggled(step.id))
        self.session.change(self.session.recipe.toggled(step.id))

    @rule(operation=st.sampled_from(TOYS))
    def add(self, operation: Any) -> None:
        try:
            self.change(self.recipe.inserted(operation))
        except RecipeError:
            with pytest.raises(RecipeError):
                self.session.add(operation.name)
        else:
            self.session.add(operation.name)

    @precondition(lambda self: len(self.recipe.steps) > 1)
    @rule(which=st.integers(0, 5))
    def remove(self, which: int) -> None:
        step = self.recipe.steps[1:][which % (len(self.recipe.steps) - 1)]
        self.change(self.recipe.removed(step.id))
        self.session.remove(step.id)

    @rule()
    def undo(self) -> None:
        self.place = max(self.place - 1, 0)
        self.session.undo()

    @rule()
    def redo(self) -> None:
        self.place = min(self.place + 1, len(self.recipes) - 1)
        self.session.redo()

    @invariant()
    def agrees(self) -> None:
        assert self.session.recipe == self.recipe
        assert len(self.session.history.past) == self.place
        assert len(self.session.history.future) == len(self.recipes) - 1 - self.place
        assert self.session.is_dirty == (self.recipe != start())


AgainstAPlainList.TestCase.settings = settings(deadline=None, max_examples=25, stateful_step_count=20)
TestAgainstAPlainList = AgainstAPlainList.TestCase
