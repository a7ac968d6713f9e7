"""What is said is readable and never pushes the window past the edge of a screen."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.window.features.line_up.line_up_status import LineUpStatus
from app.window.main_window import MainWindow
from app.window.tasks.message_line import Offer

LONG = (
    "The recording of the piece on the second morning was not found beside the review; the notes, "
    "marks and voices are kept. Put the footage back or choose another file for it, then go on. "
)


@pytest.mark.parametrize("text", [LONG * 3, "/a-folder-without-an-end" * 40])
def test_long_words_do_not_widen_the_window(bench: MainWindow, text: str) -> None:
    least = bench.minimumSizeHint().width()
    bench.messages.warn(text, Offer("Find it", lambda: None))
    QCoreApplication.processEvents()  # layouts hear of new words through a posted event
    assert bench.message_line.text == text
    assert bench.minimumSizeHint().width() == least
    assert bench.width() == 1280


def test_a_long_message_is_read_whole_and_the_line_goes_back(
    bench: MainWindow, qtbot: QtBot
) -> None:
    low = bench.message_line.height()
    bench.messages.warn(LONG * 3)
    qtbot.waitUntil(lambda: bench.message_line.height() > low)
    words = bench.message_line._text
    assert words.height() >= words.heightForWidth(words.width())
    bench.messages.say("Saved.")
    qtbot.waitUntil(lambda: bench.message_line.height() == low)


def test_where_the_review_stands_does_not_widen_the_window(bench: MainWindow) -> None:
    least = bench.minimumSizeHint().width()
    (status,) = bench.findChildren(LineUpStatus)
    status.setText(LONG * 5)
    QCoreApplication.processEvents()
    assert bench.minimumSizeHint().width() == least


def test_one_more_problem_leaves_the_first_and_its_offers(bench: MainWindow) -> None:
    bench.messages.warn("The film is another one.", Offer("Find it", lambda: None))
    bench.messages.warn_too("A copy was kept.", Offer("Copies", lambda: None))
    assert bench.message_line.text == "The film is another one. A copy was kept."
    texts = {button.text() for button in bench.message_line.findChildren(QToolButton)}
    assert {"Find it", "Copies"} <= texts
    bench.messages.say("Saved.")
    bench.messages.warn_too("A copy was kept.")
    assert bench.message_line.text == "A copy was kept."


def test_what_went_well_by_itself_leaves_a_problem_standing(bench: MainWindow) -> None:
    """That a film came twice was said, and gone when the line-up was found a moment later."""
    bench.messages.warn("b.mp4 shows the same film as a.mp4 and was left out.")
    bench.messages.say_too("Lined up by picture and sound.", Offer("Look at it", lambda: None))
    assert bench.message_line.text.startswith("b.mp4 shows the same film as a.mp4")
    assert bench.message_line.text.endswith("Lined up by picture and sound.")
    bench.messages.say("Saved.")
    bench.messages.say_too("Lined up.")
    assert bench.message_line.text == "Lined up."
