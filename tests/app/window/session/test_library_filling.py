"""Saving and sending fill the library; a library that is broken costs one sentence."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.files import user_folders
from app.library.address import FILE_NAME, VARIABLE, own_library
from app.library.library import Library
from app.library.overview import athletes
from app.library.past import past_of
from app.review.parts.about import SetAthlete
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.review_file.name_panel import NamePanel
from app.window.features.sending.feature import SendingFeature
from app.window.features.sending.sending import Sending
from app.window.main_window import MainWindow
from app.window.session import coach_library
from app.window.session.library_filling import KEPT_ALL_THE_SAME


@pytest.fixture
def features() -> tuple[type, ...]:
    return (ReviewFileFeature, SendingFeature)


def named(bench: MainWindow, qtbot: QtBot, name: str) -> None:
    bench.session.do(SetAthlete(name, "Monday"))
    qtbot.waitUntil(lambda: not bench.session.safe.unsaved, timeout=20000)


def kept(bench: MainWindow, qtbot: QtBot) -> None:
    bench.filling.keep_now()
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)


def known() -> dict[str, int]:
    with Library.open() as library:
        return {one.athlete.name: one.reviews for one in athletes(library)}


def test_it_lies_where_the_commands_look_for_it() -> None:
    assert coach_library.own_file() == own_library()
    assert coach_library.own_file().parent == user_folders.data_folder()
    assert (coach_library.VARIABLE, coach_library.FILE_NAME) == (VARIABLE, FILE_NAME)


def test_saving_fills_it_once_the_athlete_has_a_name(loaded: MainWindow, qtbot: QtBot) -> None:
    kept(loaded, qtbot)
    assert not loaded.library.is_there  # nobody is named: not even a file is made
    named(loaded, qtbot, "Ada Öster")
    qtbot.waitUntil(lambda: loaded.library.is_there, timeout=20000)  # by itself, after a rest
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    assert known() == {"Ada Öster": 1}
    with Library.open() as library:
        past = past_of(library, athletes(library)[0].athlete.id)
    assert past.reviews[0].piece.source == "force"
    qtbot.waitUntil(lambda: loaded.library.names == ("Ada Öster",), timeout=20000)


def test_half_a_name_is_no_athlete(loaded: MainWindow, qtbot: QtBot) -> None:
    loaded.filling._rest.setInterval(0)
    names = loaded[NamePanel]
    loaded.activateWindow()
    names.begin()
    qtbot.waitUntil(names.athlete.hasFocus, timeout=5000)
    qtbot.keyClicks(names.athlete, "Ad")
    qtbot.waitUntil(lambda: not loaded.session.safe.unsaved, timeout=20000)
    qtbot.wait(50)
    assert not loaded.library.is_there
    qtbot.keyClicks(names.athlete, "a")
    names.athlete.clearFocus()
    qtbot.waitUntil(lambda: loaded.library.is_there, timeout=20000)
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    assert known() == {"Ada": 1}


def test_known_athletes_are_proposed_while_a_name_is_typed(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    named(loaded, qtbot, "Ada Öster")
    kept(loaded, qtbot)
    qtbot.waitUntil(lambda: loaded.library.names == ("Ada Öster",), timeout=20000)
    named(loaded, qtbot, "")
    names = loaded[NamePanel]
    proposals = names.athlete.completer()
    proposals.setCompletionPrefix("öst")
    assert proposals.completionCount() == 1
    proposals.activated.emit(proposals.currentCompletion())
    assert loaded.session.state.athlete == "Ada Öster"
    loaded.session.undo()
    assert loaded.session.state.athlete == ""


@pytest.mark.parametrize("to_the_list", [False, True])
def test_return_ends_a_name_over_which_proposals_stand(
    loaded: MainWindow, qtbot: QtBot, to_the_list: bool
) -> None:
    """While they stand, the field never hears that the keys left, and nothing would be kept."""
    names = loaded[NamePanel]
    names._names.setStringList(["Ada Öster"])
    loaded.activateWindow()
    names.begin()
    qtbot.waitUntil(names.athlete.hasFocus, timeout=5000)
    assert loaded.filling._held
    qtbot.keyClicks(names.athlete, "Ada Öster")
    popup = names.athlete.completer().popup()
    qtbot.waitUntil(popup.isVisible, timeout=5000)
    qtbot.keyClick(popup if to_the_list else names.athlete, Qt.Key.Key_Return)
    assert not popup.isVisible() and not names.athlete.hasFocus()
    assert not loaded.filling._held
    assert loaded.session.state.athlete == "Ada Öster"


def test_sending_says_so_in_the_library(loaded: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    named(loaded, qtbot, "Ada")
    with qtbot.waitSignal(loaded[Sending].sent, timeout=60000):
        loaded[Sending].write()
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    with Library.open() as library:
        past = past_of(library, athletes(library)[0].athlete.id)
    (bundle,) = past.reviews[0].bundles
    assert Path(bundle.path).is_dir() and bundle.bytes > 0 and not bundle.draft


def test_a_broken_library_costs_one_sentence(loaded: MainWindow, qtbot: QtBot) -> None:
    coach_library.own_file().parent.mkdir(parents=True, exist_ok=True)
    coach_library.own_file().write_bytes(b"no library at all" * 100)
    said: list[str] = []

    def hear(text: str, problem: bool, _offers: object) -> None:
        if problem:
            said.append(text)

    loaded.messages.said.connect(hear)
    for name in ("Ada", "Ben"):
        named(loaded, qtbot, name)
        kept(loaded, qtbot)
    assert len(said) == 1 and said[0].endswith(KEPT_ALL_THE_SAME)
    assert loaded.session.review is not None and not loaded.session.review.unsaved
    assert coach_library.own_file().read_bytes().startswith(b"no library")


def test_what_is_left_at_once_is_kept_all_the_same(
    loaded: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    loaded.session.do(SetAthlete("Ada", ""))
    loaded.session.close_review()
    qtbot.waitUntil(lambda: loaded.session.review is None, timeout=20000)
    kept(loaded, qtbot)
    assert known() == {"Ada": 1}


def test_the_sample_is_no_athlete_of_the_coach(loaded: MainWindow) -> None:
    review = loaded.session.review
    assert review is not None
    state = SetAthlete("Ada", "").apply(review.state)
    sample = coach_library.own_file().parent / "sample" / "sample.review"
    assert loaded.filling._counts(state, Path("/elsewhere/a.review"))
    assert not loaded.filling._counts(state, sample)


def test_a_clubs_library_is_looked_for_by_its_address(
    bench: MainWindow, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert not bench.library.is_there
    monkeypatch.setitem(os.environ, VARIABLE, "postgresql://ada@club/rowing")
    assert bench.library.is_there
