"""The features these tests need."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from pytestqt.qtbot import QtBot

from app.review.parts.notes import AddNote, new_note
from app.window.actions.feature import Feature
from app.window.features.answers.feature import AnswersFeature
from app.window.features.findings.feature import FindingsFeature
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.sending.feature import SendingFeature
from app.window.features.sending.sending_panel import SendingPanel
from app.window.main_window import MainWindow


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """No more than is spoken of here."""
    return (
        AnswersFeature,
        FindingsFeature,
        NotesFeature,
        ReviewFileFeature,
        SendingFeature,
    )


@pytest.fixture
def noted(loaded: MainWindow) -> MainWindow:
    """A bench with three notes and no clip longer than it must be."""
    for place, text in ((0.2, "one"), (0.5, "two"), (0.8, "three")):
        loaded.session.do(AddNote(new_note(place, text, end_s=place + 0.1)))
    return loaded


@pytest.fixture
def panel(noted: MainWindow, qtbot: QtBot) -> Iterator[SendingPanel]:
    """The panel, opened by its action."""
    noted.menus.actions["send_plan"].trigger()
    found = noted.findChildren(SendingPanel)
    assert len(found) == 1
    yield found[0]
    for open_still in noted.findChildren(SendingPanel):
        open_still.close()
