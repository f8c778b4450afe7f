"""A sculpt put in place of another."""

from quiet_runner import document, runner

__all__ = ["document", "runner"]


def test_one_that_cannot_be_read_leaves_what_was_open(document, runner, tmp_path):
    before, told = document.sculpt_path, []
    runner.read("a", "b")
    runner.finish()
    document.failed.connect(told.append)
    document.replace_sculpt(tmp_path / "list.obj")
    count = len(runner.jobs)
    runner.finish(failed="Cannot read list.obj: it holds no triangles.")
    assert told == ["Cannot read list.obj: it holds no triangles. What was open is open again."]
    assert document.sculpt_path == before
    assert len(runner.jobs) == count + 1, "it is replayed"
    runner.finish()
    document.replace_sculpt(tmp_path / "other.obj")
    runner.read("a")
    runner.finish(failed="Trim base cannot be done.")
    assert document.sculpt_path == tmp_path / "other.obj", "it was read: the step is to be mended"
    assert document.failure
