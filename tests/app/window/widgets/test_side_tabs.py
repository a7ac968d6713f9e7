"""Names are read whole; counts are shown where there is room, and in the tips everywhere."""

from __future__ import annotations

from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.window.widgets.side_tabs import SideTabs

NAMES = ("Findings", "Notes", "Compare")


def _texts(tabs: SideTabs) -> list[str]:
    return [tabs.tabText(place) for place in range(tabs.count())]


def test_counts_give_way_to_names(qtbot: QtBot) -> None:
    tabs = SideTabs()
    qtbot.addWidget(tabs)
    pages = [QLabel() for _name in NAMES]
    for page, name in zip(pages, NAMES, strict=True):
        tabs.add(page, name)
        tabs.count_in(page, 123456)
    tabs.resize(1200, 300)
    tabs.show()
    assert _texts(tabs) == [f"{name} 123456" for name in NAMES]
    tabs.resize(tabs.tabBar().sizeHint().width() - 1, 300)
    assert _texts(tabs) == list(NAMES)
    assert [tabs.tabToolTip(place) for place in range(3)] == [f"{name} 123456" for name in NAMES]
    tabs.resize(1200, 300)
    assert _texts(tabs) == [f"{name} 123456" for name in NAMES]
    tabs.show_named("Compare")
    assert tabs.current_name == "Compare"


def test_the_first_tab_that_is_there_comes_forward(qtbot: QtBot) -> None:
    tabs = SideTabs()
    qtbot.addWidget(tabs)
    pages = [QLabel() for _name in NAMES]
    for page, name in zip(pages, NAMES, strict=True):
        tabs.add(page, name)
    for shown, name in ((True, "Findings"), (False, "Notes")):
        tabs.show_tab(pages[0], shown)
        tabs.show_named("Compare")
        tabs.show_first()
        assert tabs.current_name == name
