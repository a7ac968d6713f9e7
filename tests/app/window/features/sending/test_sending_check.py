"""One panel with three lines to read, and one button that writes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QApplication, QLabel
from pytestqt.qtbot import QtBot

from analysis.clocks.alignment import Alignment
from app.review.parts.about import SetAthlete
from app.review.parts.sending import SetSending
from app.review.parts.state import ReviewState
from app.window.features.notes.notes import Notes
from app.window.features.sending.forgotten import NO_CONSENT, NO_NAME
from app.window.features.sending.sending import Sending
from app.window.features.sending.sending_check import (
    CARE,
    GOOD,
    SendCheck,
    agreed,
    goes_out,
    lined_up,
)
from app.window.features.sending.sending_panel import SendingPanel
from app.window.features.sending.shapes import row_of
from app.window.main_window import MainWindow


@pytest.fixture
def check(loaded: MainWindow) -> Iterator[SendCheck]:
    loaded.menus.actions["send_panel"].trigger()
    (found,) = loaded.findChildren(SendCheck)
    yield found
    for open_still in loaded.findChildren(SendCheck):
        open_still.close()


def test_each_line_says_how_it_stands(check: SendCheck, loaded: MainWindow) -> None:
    session = loaded.session
    assert [sign.text() for sign in check.signs] == [CARE, CARE, CARE]
    assert "not lined up" in check.words[0].text()
    check.consent.button(True).click()
    assert session.state.sending.consent is True
    loaded[Notes].drop()
    session.do(SetAthlete("Robin", "Morning"))
    assert check.signs[1].text() == GOOD and check.signs[2].text() == GOOD
    assert "1 note, with clips and curves." in check.words[2].text()
    check.minor.click()
    assert session.state.sending.minor and check.reminder.isVisible()


def test_a_film_alone_has_nothing_to_line_up(loaded: MainWindow) -> None:
    state = loaded.session.state
    assert not lined_up(state).good
    assert lined_up(replace(state, trace=None)).good
    assert lined_up(replace(state, video=None)).good


def test_a_film_with_a_side_that_is_not_lined_up_is_not_called_lined_up(
    loaded: MainWindow,
) -> None:
    late = Alignment(2.0, method="by picture and sound", uncertainty_s=0.02, from_s=17.0)
    line = lined_up(replace(loaded.session.state, alignment=late))
    assert not line.good and "from 17.0 s on only" in line.words
    early = Alignment(-3.0, method="by picture and sound", uncertainty_s=0.02, until_s=17.0)
    assert lined_up(replace(loaded.session.state, alignment=replace(late, further=(early,)))).good


def test_a_missing_name_is_asked_for_once(noted: MainWindow) -> None:
    noted.menus.actions["send_panel"].trigger()
    (check,) = noted.findChildren(SendCheck)
    said = " ".join(label.text() for label in check.findChildren(QLabel))
    assert said.count("It does not say whose it is") == 1
    check.close()


@pytest.mark.parametrize(("consent", "good"), [(None, False), (False, False), (True, True)])
def test_only_a_yes_is_a_yes(consent: bool | None, good: bool) -> None:
    state = SetSending(consent=consent).apply(ReviewState("r"))
    assert agreed(state).good is good


def test_nothing_in_it_is_said(loaded: MainWindow) -> None:
    line = goes_out(loaded.session.state)
    assert not line.good and "nothing in it but the recordings" in line.words


def test_the_line_up_is_mended_on_the_bench(loaded: MainWindow) -> None:
    done: list[bool] = []
    line_up = QAction(loaded)
    line_up.triggered.connect(lambda: done.append(True))
    loaded[Sending].actions = {"auto_line_up": line_up}
    loaded[Sending].show_check()
    (check,) = loaded.findChildren(SendCheck)
    check.line_up.click()
    QApplication.processEvents()
    assert done and not loaded.findChildren(SendCheck)


def test_the_name_is_typed_in_the_check(check: SendCheck, loaded: MainWindow, qtbot: QtBot) -> None:
    """Whole at once, for half a name is nobody's; asked for only while there is none."""
    title = loaded.session.state.title
    qtbot.keyClicks(check.name, "Robin")
    assert loaded.session.state.athlete == ""
    check.consent.setFocus()
    assert (loaded.session.state.athlete, loaded.session.state.title) == ("Robin", title)
    assert check.name.isHidden() and NO_NAME not in check.words[2].text()


def test_the_rest_is_behind_one_button(check: SendCheck, loaded: MainWindow) -> None:
    check.change.click()
    (panel,) = loaded.findChildren(SendingPanel)
    assert panel.isVisible()
    panel.close()


def test_send_asks_once_as_the_menu_does_and_writes(
    check: SendCheck, loaded: MainWindow, qtbot: QtBot
) -> None:
    assert check.shape.currentData() == "page"
    check.shape.setCurrentIndex(row_of("zip"))
    check.shape.activated.emit(row_of("zip"))
    check.send.click()
    place = loaded[Sending].usual_place("zip")
    assert isinstance(place, Path) and not place.exists()
    assert NO_CONSENT in check.said.text() and check.send.text() == "Send anyway"
    # What is settled meanwhile is asked about no longer, the rest is.
    check.consent.button(True).click()
    assert loaded.session.state.sending.consent is True
    assert NO_CONSENT not in check.said.text() and check.send.text() == "Send"
    check.send.click()
    assert NO_NAME in check.said.text()
    with qtbot.waitSignal(loaded[Sending].written, timeout=120000):
        check.send.click()
    assert place.is_file()
    assert loaded[Sending].missing() == ()
