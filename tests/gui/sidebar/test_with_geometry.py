"""The sidebar on a real sculpt, with the real geometry process behind it."""

from collections import Counter

from PySide6.QtCore import Qt

from holdwright.catalogue.catalogue import load_catalogue
from holdwright.gui.document.check_work import CheckWork
from holdwright.gui.document.document import Document
from holdwright.gui.document.geometry_supervisor import GeometrySupervisor
from holdwright.gui.document.print_work import PrintWork
from holdwright.gui.document.strength_work import StrengthWork
from holdwright.gui.sidebar.sidebar import Sidebar
from holdwright.resources import sample_folder

LEFT = Qt.MouseButton.LeftButton


def test_a_rim_typed_on_the_card_is_cut_and_undone(qtbot, settings, data_folder, shown):
    document = Document(GeometrySupervisor(data_folder / "results"), data_folder / "autosave")
    try:
        works = (each(document, document) for each in (PrintWork, CheckWork, StrengthWork))
        sidebar = shown(Sidebar(document, load_catalogue(), *works))
        assert document.start_with_sculpt(sample_folder() / "hall-crimp.obj")
        qtbot.waitUntil(lambda: not document.busy, timeout=60_000)
        trim = sidebar.card.entries["s4"]
        assert trim.line.state.result.startswith("rim 3 mm, back ")
        assert not any(entry.line.state.stale for entry in sidebar.card.entries.values())
        headline = sidebar.findings.headline.text()
        assert headline.startswith("No warnings yet") or headline == _headline(document)
        qtbot.mouseClick(trim.line, LEFT)
        rim = trim.form.fields["rim"].editor.keyboard_widget()
        rim.selectAll()
        qtbot.keyClicks(rim, "5")
        qtbot.keyClick(rim, Qt.Key.Key_Return)
        assert trim.line.state.stale
        qtbot.waitUntil(lambda: not document.busy, timeout=60_000)
        assert trim.line.state.result.startswith("rim 5 mm, back ")
        document.edits.undo()
        qtbot.waitUntil(lambda: not document.busy, timeout=60_000)
        assert trim.line.state.result.startswith("rim 3 mm, back ")
        assert rim.text() == "3 mm"
    finally:
        document.close()


def _headline(document) -> str:
    count = Counter(finding.severity for _, finding in document.findings)
    return ", ".join(
        f"{count[each]} {each}{'s' * (count[each] > 1)}" for each in ("error", "warning") if count[each]
    )
