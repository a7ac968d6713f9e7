"""A column of an unknown table is told by its curve, by mouse and by keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from analysis.force.intake import preview
from analysis.force.trace import ColumnMapping
from app.window.features.review_file.column_curve import CurveButton
from app.window.features.review_file.question_panel import ONE_FOR_EACH, QuestionPanel
from app.window.session.loading import Question
from tests.helpers.pieces import FOUR_STROKES

Key = Qt.Key


@pytest.fixture
def panel(tmp_path: Path, qtbot: QtBot) -> QuestionPanel:
    """A table whose names say nothing, asked about."""
    table = tmp_path / "piece.csv"
    FOUR_STROKES.write(table, header="a,b,c")
    made = QuestionPanel()
    qtbot.addWidget(made)
    made.resize(850, 200)
    made.ask(Question(table, preview(table)))
    return made


def _say(panel: QuestionPanel, column: int, role: str) -> None:
    (button,) = (b for b in panel.curves.buttons if b.curve.column == column)
    (action,) = (a for a in button.menu.actions() if a.data() == role)
    action.trigger()


def _roles(panel: QuestionPanel) -> list[str]:
    return [button.role for button in panel.curves.buttons]


def test_what_is_clicked_is_what_is_read(panel: QuestionPanel, qtbot: QtBot) -> None:
    _say(panel, 0, "time")
    _say(panel, 1, "force")
    _say(panel, 2, "position")
    assert _roles(panel) == ["time", "force", "position"]
    panel.force_unit.setCurrentText("N")
    with qtbot.waitSignal(panel.answered) as heard:
        panel.read.click()
    assert heard.args is not None
    assert heard.args[1] == ColumnMapping(1, "N", 0, "s", None, 2, "m")


def test_lists_and_curves_say_the_same(panel: QuestionPanel) -> None:
    panel.force.setCurrentIndex(2)
    panel.time.setCurrentIndex(0)
    panel.position.setCurrentIndex(2)
    assert _roles(panel) == ["", "position", "force"]
    _say(panel, 1, "time")  # it is the position no more
    assert (panel.time.currentIndex(), panel.position.currentIndex()) == (2, 0)
    _say(panel, 1, "")
    assert panel.time.currentIndex() == 0 and _roles(panel) == ["", "", "force"]


def test_one_column_is_not_two_things(panel: QuestionPanel) -> None:
    _say(panel, 0, "time")
    panel.force_unit.setCurrentText("N")
    panel.force.setCurrentIndex(0)
    assert not panel.read.isEnabled() and panel._lacks.text() == ONE_FOR_EACH
    _say(panel, 1, "force")
    assert panel.read.isEnabled()


def test_a_curve_is_reached_and_chosen_by_keys(panel: QuestionPanel, qtbot: QtBot) -> None:
    panel.show()
    panel.position_unit.setFocus()
    reached: list[CurveButton] = []
    for _ in range(8):
        panel.focusNextChild()
        at = panel.focusWidget()
        if isinstance(at, CurveButton) and at not in reached:
            reached.append(at)
    assert [button.curve.column for button in reached] == [0, 1, 2]
    second = reached[1]
    qtbot.keyClick(second, Key.Key_Space)
    assert second.menu.isVisible()
    qtbot.keyClick(second.menu, Key.Key_T)
    assert panel.time.currentIndex() == 2 and not second.menu.isVisible()


def test_who_cannot_see_it_is_told_what_it_is(panel: QuestionPanel) -> None:
    _say(panel, 1, "force")
    said = panel.curves.buttons[1]
    assert said.accessibleName() == "Column b: Handle force"
    assert f"{FOUR_STROKES.peak_n:.0f}" in said.accessibleDescription()
    assert not said.menu.actions()[-1].isVisible(), "some column has to be the force"
