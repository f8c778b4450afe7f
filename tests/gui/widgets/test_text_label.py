import pytest

from holdwright.gui.widgets import style
from holdwright.gui.widgets.layout import TextLabel


@pytest.mark.parametrize("faint", [False, True])
def test_text_stays_readable_when_the_scheme_changes_under_it(qtbot, qapp, faint):
    label = TextLabel("rim 3 mm", faint=faint)
    qtbot.addWidget(label)
    label.show()

    def brightness() -> int:
        return label.palette().windowText().color().lightness()

    assert brightness() < 128
    try:
        style.apply(qapp, "dark")
        qtbot.waitUntil(lambda: brightness() > 128)
    finally:
        style.apply(qapp, "light")
    qtbot.waitUntil(lambda: brightness() < 128)
