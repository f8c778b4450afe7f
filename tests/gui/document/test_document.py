"""The open document, without a window: what of it is kept."""

from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.pipeline.recipes.recipe_file import find_recipe
from holdwright.session import open_session, unsaved_changes


def test_changes_that_are_discarded_are_not_kept_by_the_autosave_that_was_due(qapp, tmp_path):
    path, kept = tmp_path / "a.json", tmp_path / "kept"
    path.write_bytes(find_recipe("starter").read_bytes())
    document = Document(GeometrySupervisor(tmp_path), kept)
    document.open_session(open_session(path, autosaves=kept))
    document.edits.edit("s4", {"rim": 5.0})
    assert document.save()
    document.edits.undo()
    document.discard_changes()
    document.close()
    assert unsaved_changes(path, kept) is None
    again = open_session(path, autosaves=kept)
    assert again.recipe.step("s4").parameters.rim == 5.0
    assert again.history.undo_text
