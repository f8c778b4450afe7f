from pathlib import Path

import pytest

from holdwright.export.file_names import names_for


@pytest.mark.parametrize(
    ("files", "names"),
    [
        (["a/jug.obj", "b/crimp.v2.stl"], ["jug", "crimp.v2"]),
        (["a/jug.obj", "b/jug.obj", "jug.stl"], ["jug", "jug-2", "jug-3"]),
        (["jug.obj", "jug.stl", "jug-2.obj"], ["jug", "jug-3", "jug-2"]),
        (["Jug.obj", "jug.obj"], ["Jug", "jug-2"]),
        ([".obj", "...stl"], ["obj", "sculpt"]),
        (["Überhang 日本.ply"], ["Überhang 日本"]),
    ],
)
def test_names(files: list[str], names: list[str]) -> None:
    assert names_for([Path(file) for file in files]) == names
