"""A row that gives way: what matters stays, the rest waits in a menu, nothing is lost."""

from __future__ import annotations

from PySide6.QtWidgets import QDoubleSpinBox, QToolButton

from app.window.widgets.elided_label import ElidedLabel
from app.window.widgets.overflow_tool_bar import OverflowToolBar


def _button(text: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    return button


def _row(qtbot) -> tuple[OverflowToolBar, list[QToolButton]]:  # type: ignore[no-untyped-def]
    row = OverflowToolBar()
    qtbot.addWidget(row)
    buttons = [_button(text) for text in ("Always here", "Often wanted", "Seldom wanted")]
    for gives, button in enumerate(buttons):
        row.put(button, gives, button.text())
    row.stretch()
    row.show()
    return row, buttons


def test_the_least_important_gives_way_first(qtbot) -> None:  # type: ignore[no-untyped-def]
    row, (always, often, seldom) = _row(qtbot)
    row.resize(row.sizeHint())
    assert row.given_way == ()
    row.resize(row.sizeHint().width() - 4, row.height())
    assert not seldom.isVisible() and often.isVisible() and always.isVisible()
    row.resize(row.minimumSizeHint())
    assert row.given_way == ("Often wanted", "Seldom wanted") and always.isVisible()
    row.resize(row.sizeHint())
    assert row.given_way == () and seldom.isVisible()


def test_what_gave_way_is_done_from_the_menu(qtbot) -> None:  # type: ignore[no-untyped-def]
    row, (_always, often, seldom) = _row(qtbot)
    done = []
    seldom.clicked.connect(lambda: done.append("seldom"))
    often.setEnabled(False)
    row.resize(row.minimumSizeHint())
    menu = row._more.menu()
    menu.aboutToShow.emit()
    first, second = menu.actions()
    assert (first.text(), first.isEnabled()) == ("Often wanted", False)
    second.trigger()
    assert done == ["seldom"]


def test_nothing_is_cut_at_the_narrowest(qtbot) -> None:  # type: ignore[no-untyped-def]
    row, (always, _often, _seldom) = _row(qtbot)
    row.resize(row.minimumSizeHint())
    row.layout().activate()
    assert always.width() >= always.sizeHint().width()
    assert row._more.isVisible() and row._more.geometry().right() <= row.width()


def test_what_nobody_wants_takes_no_room(qtbot) -> None:  # type: ignore[no-untyped-def]
    row, _buttons = _row(qtbot)
    before = row.minimumSizeHint().width()
    length = QDoubleSpinBox()
    row.put(length)
    row.want(length, False)
    assert length.isHidden() and row.minimumSizeHint().width() == before
    row.want(length, True)
    row.resize(row.minimumSizeHint())
    assert length.isVisible() and row.minimumSizeHint().width() > before


def test_cut_words_are_in_the_tool_tip(qtbot) -> None:  # type: ignore[no-untyped-def]
    label = ElidedLabel("Stroke 121 of 340 · unlike the rest")
    qtbot.addWidget(label)
    label.show()
    label.resize(label.sizeHint())
    assert not label.is_cut and label.toolTip() == ""
    label.setToolTip("More about it")
    label.resize(label.minimumSizeHint())
    assert label.is_cut and label.toolTip() == f"{label.text()}\nMore about it"
    assert label.minimumSizeHint().width() < label.sizeHint().width() / 2


def test_a_gap_goes_with_what_stands_behind_it(qtbot) -> None:  # type: ignore[no-untyped-def]
    row, plain = OverflowToolBar(), OverflowToolBar()
    for bar in (row, plain):
        qtbot.addWidget(bar)
        bar.put(_button("Always"))
        if bar is row:
            bar.gap(200)
        bar.put(_button("Seldom"), gives=3, name="Seldom wanted")
        bar.show()
    assert row.sizeHint().width() >= plain.sizeHint().width() + 200
    assert row.minimumSizeHint().width() < plain.minimumSizeHint().width() + 20
    row.resize(row.minimumSizeHint())
    assert row.given_way == ("Seldom wanted",)
