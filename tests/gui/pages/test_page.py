"""A page by key: from above to below whatever came when, and what is come to is seen."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from holdwright.gui.pages.page import Page
from holdwright.gui.widgets.buttons import CheckBox, QuietButton
from holdwright.gui.widgets.keyboard_order import ReadInOrder
from holdwright.gui.widgets.layout import column


def test_tab_reads_a_page_from_above_and_scrolls_to_what_it_comes_to(qtbot):
    window = QWidget()
    qtbot.addWidget(window)
    page = Page("Joint card", window)
    page.resize(340, 300)
    window.resize(340, 300)
    last = page.add_tick("Last", "")
    page.column.insertSpacing(0, 600)
    foot = QuietButton("Foot")
    page.add_foot(foot)
    # These come later, above what is there already.
    first, second = CheckBox("First", page), CheckBox("Second", page)
    page.column.insertWidget(0, second)
    page.column.insertWidget(0, first)
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    page.back_button.setFocus()
    met = []
    for _ in range(4):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        met.append(QApplication.focusWidget())
        assert met[-1].visibleRegion().boundingRect().height() == met[-1].height(), met[-1].text()
    assert met == [first, second, last, foot]
    qtbot.keyClick(foot, Qt.Key.Key_Backtab)
    qtbot.keyClick(last, Qt.Key.Key_Backtab)
    assert QApplication.focusWidget() is second
    assert second.visibleRegion().boundingRect().height() == second.height()


def test_tab_comes_to_what_stands_above_where_a_page_begins(qtbot):
    class Whole(ReadInOrder, QWidget):
        """As a page over the workbench is."""

    window = QWidget()
    qtbot.addWidget(window)
    menu, page = QuietButton("Menu", window), Whole()
    held, back = QuietButton("Holds", page), QuietButton("Back", page)
    column(menu, page, on=window)
    column(back, held, on=page)
    page.begins_at = held
    with qtbot.waitExposed(window):
        window.show()
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    page.setFocus()
    assert QApplication.focusWidget() is held
    for comes in (menu, back, held):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        assert QApplication.focusWidget() is comes
