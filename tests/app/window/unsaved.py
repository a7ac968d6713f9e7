"""Ten changes, places that take no file, and the questions that are asked about them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from pytestqt.qtbot import QtBot

from app.review.file.store import read_review
from app.review.parts.notes import AddNote, new_note
from app.window.main_window import MainWindow

TEN = {f"change {i}" for i in range(10)}


def change(bench: MainWindow, words: set[str] = TEN) -> None:
    """Make a note of each of some words."""
    for i, text in enumerate(sorted(words)):
        bench.session.do(AddNote(new_note(0.1 * i, text=text)))
    assert words <= {note.text for note in bench.session.state.notes}


def words_in(path: Path) -> set[str]:
    """What the notes in a file say."""
    return {note.text for note in read_review(path).notes}


def path_of(bench: MainWindow) -> Path:
    review = bench.session.review
    assert review is not None and review.path is not None
    return review.path


def saved(bench: MainWindow, qtbot: QtBot) -> Path:
    """Wait until all is saved, and say where."""
    safe = bench.session.safe
    qtbot.waitUntil(lambda: not safe.unsaved and safe._since is None, timeout=15000)
    qtbot.waitUntil(lambda: safe.words == "Saved")
    return path_of(bench)


def copy_holds(copies: Callable[[], Iterable[Path]], words: set[str], qtbot: QtBot) -> Path:
    """Wait until the only copy holds all of some words, and say which it is."""

    def holds() -> bool:
        found = list(copies())
        return len(found) == 1 and words_in(found[0]) == words

    qtbot.waitUntil(holds, timeout=15000)
    return next(iter(copies()))


def refused(bench: MainWindow, qtbot: QtBot) -> str:
    """Wait until saving was refused, and say why."""
    qtbot.waitUntil(lambda: bool(bench.session.safe.reason), timeout=15000)
    return bench.session.safe.reason


def asked(bench: MainWindow, qtbot: QtBot) -> list[str]:
    """Wait for the question, and say what can be answered."""
    qtbot.waitUntil(lambda: bench.session.leaving.question is not None, timeout=20000)
    question = bench.session.leaving.question
    assert question is not None
    return [button.text().replace("&", "") for button in question.buttons()]


def answer(bench: MainWindow, text: str) -> None:
    """Click one of the answers."""
    question = bench.session.leaving.question
    assert question is not None
    for button in question.buttons():
        if button.text().replace("&", "") == text:
            button.click()
            return
    raise AssertionError(f"nothing is called {text}")
