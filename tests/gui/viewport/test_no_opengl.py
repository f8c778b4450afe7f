"""A screen on which nothing can be drawn in three dimensions: a sentence in the view, and the rest works."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

import holdwright
from mesh_files import write_obj
from shapes import boulder

SCRIPT = """
import sys
from pathlib import Path
from PySide6.QtCore import QEventLoop, QPoint, QSettings, Qt
from PySide6.QtTest import QTest
from holdwright.gui.application import application, build_window

if __name__ == "__main__":
    folder, sculpt = Path(sys.argv[1]), Path(sys.argv[2])
    app = application(sys.argv[:1])
    window = build_window(QSettings(str(folder / "s.ini"), QSettings.Format.IniFormat), folder, "light")
    window.show()
    window.begin(sculpt)
    loop = QEventLoop()
    window.document.busy_changed.connect(lambda busy: None if busy else loop.quit())
    loop.exec()
    for name in ("section", "view_back"):
        window.actions_table[name].trigger()
    view = window.viewport.focusProxy()
    QTest.mouseClick(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier, view.rect().center())
    assert window.document.session.history.past == ()
    print(view.text())
    print(*window.measure_bar.facts)
    window.opening.may_leave = lambda *_verb: True
    window.close()
"""


@pytest.mark.skipif(sys.platform != "linux", reason="says to xcb alone that there is no OpenGL")
@pytest.mark.parametrize(
    "lack", [{"QT_XCB_GL_INTEGRATION": "none"}, {"MESA_GL_VERSION_OVERRIDE": "2.1"}], ids=["none", "old"]
)
def test_without_opengl_there_is_a_sentence_and_the_steps_are_done(display, tmp_path, lack):
    if not os.environ.get("DISPLAY"):
        pytest.skip("only under X")
    script = tmp_path / "blind.py"
    script.write_text(SCRIPT, "utf-8")
    program = Path(holdwright.__file__).parent
    sculpt = write_obj(tmp_path / "lump.obj", boulder(segments=24))
    surroundings = {**os.environ, "PYTHONPATH": str(program.parent), "QT_QPA_PLATFORM": "xcb", **lack}
    ended = subprocess.run(
        [sys.executable, script, tmp_path, sculpt],
        env=surroundings,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert (ended.returncode, ended.stderr) == (0, "")
    assert "cannot be drawn here: this screen has no OpenGL 3.2" in ended.stdout
    assert "triangles" in ended.stdout
