"""One answer, once; a question that is dropped answers nothing."""

from __future__ import annotations

from functools import partial

from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from app.window.widgets.open_question import OpenQuestion, question_box


def _box(qtbot: QtBot) -> QMessageBox:
    box = question_box(None, "Title", "<b>said</b>", "more")
    qtbot.addWidget(box)
    return box


def test_the_button_says_what_happens(qtbot: QtBot) -> None:
    asked, box, heard = OpenQuestion(), _box(qtbot), list[str]()
    yes = box.addButton("Yes", QMessageBox.ButtonRole.AcceptRole)
    box.addButton("No", QMessageBox.ButtonRole.RejectRole)
    asked.ask(box, {yes: lambda: heard.append("yes")}, lambda: heard.append("no"))
    assert asked.box is box
    yes.click()
    assert heard == ["yes"] and asked.box is None


def test_closing_it_is_an_answer_and_dropping_it_is_none(qtbot: QtBot) -> None:
    asked, heard = OpenQuestion(), list[str]()
    for way in ("close", "drop"):
        box = _box(qtbot)
        box.addButton("No", QMessageBox.ButtonRole.RejectRole)
        asked.ask(box, {}, partial(heard.append, way))
        box.close() if way == "close" else asked.drop()
    assert heard == ["close"] and asked.box is None
