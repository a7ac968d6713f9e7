"""The athletes come first, where there are any."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.library.library import Library
from app.library.overview import athletes
from app.review.parts.about import SetAthlete
from app.window.features.athletes.athlete_rows import NAME, STATE, WORK
from app.window.features.athletes.athletes_page import EMPTY, NOBODY
from app.window.features.athletes.first_screen import FirstScreen
from app.window.features.review_file.invitation import Invitation
from app.window.main_window import MainWindow
from app.window.session import coach_library
from tests.app.window.conftest import open_and_wait

Make = Callable[..., MainWindow]
Put = Callable[..., None]


def at_rest(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)


def begun(make_bench: Make, qtbot: QtBot) -> FirstScreen:
    bench = make_bench()
    screen = bench[FirstScreen]
    screen.begin(lambda: None)
    at_rest(bench, qtbot)
    return screen


def column(screen: FirstScreen, at: int) -> list[str]:
    rows = screen.page.rows
    return [rows.index(row, at).data() or "" for row in range(rows.rowCount())]


def search(screen: FirstScreen, bench: MainWindow, qtbot: QtBot, text: str) -> list[str]:
    with qtbot.waitSignal(screen.page.asked, timeout=5000):
        screen.page.search.setText(text)
    at_rest(bench, qtbot)
    return column(screen, NAME)


def test_without_a_library_the_bench_begins_as_before(bench: MainWindow, qtbot: QtBot) -> None:
    began: list[bool] = []
    bench[FirstScreen].begin(lambda: began.append(True))
    assert began == [True] and not bench[FirstScreen].is_shown
    assert isinstance(bench.stage.currentWidget(), Invitation)
    bench.menus.actions["athletes"].trigger()
    assert bench[FirstScreen].is_shown and bench[FirstScreen].page.empty.text() == EMPTY
    assert not coach_library.own_file().exists()
    bench[FirstScreen].page.left.emit()
    assert isinstance(bench.stage.currentWidget(), Invitation)


def test_a_library_without_anybody_goes_back_to_the_beginning(
    bench: MainWindow, qtbot: QtBot
) -> None:
    Library.open().close()
    began: list[bool] = []
    bench[FirstScreen].begin(lambda: began.append(True))
    at_rest(bench, qtbot)
    assert began == [True] and isinstance(bench.stage.currentWidget(), Invitation)


def test_a_damaged_library_keeps_nobody_from_the_bench(bench: MainWindow, qtbot: QtBot) -> None:
    coach_library.own_file().parent.mkdir(parents=True, exist_ok=True)
    coach_library.own_file().write_bytes(b"not one" * 1000)
    began: list[bool] = []
    bench[FirstScreen].begin(lambda: began.append(True))
    at_rest(bench, qtbot)
    assert began == [True] and isinstance(bench.stage.currentWidget(), Invitation)


def test_who_waits_who_is_silent_and_what_was_told(
    make_bench: Make, put: Put, qtbot: QtBot
) -> None:
    put("Ada Öster", 3.0)
    put("Ben", 1.0)
    put("Chiara", 20.0, told=9.0)
    screen = begun(make_bench, qtbot)
    page = screen.page
    assert screen.is_shown and column(screen, NAME) == ["Ben", "Ada Öster", "Chiara"]
    assert column(screen, STATE) == ["Waits 1 day", "Waits 3 days", "Silent for 9 days"]
    assert column(screen, WORK) == ["", "", "Give"]
    page.order.setCurrentIndex(1)
    bench = screen._session.parent()
    assert isinstance(bench, MainWindow)
    at_rest(bench, qtbot)
    assert column(screen, NAME) == ["Ada Öster", "Ben", "Chiara"]
    assert page.current is not None and page.current.athlete.name == "Ben"  # the choice stays
    page.order.setCurrentIndex(2)
    at_rest(bench, qtbot)
    assert column(screen, NAME) == ["Chiara"]
    page.order.setCurrentIndex(0)
    assert search(screen, bench, qtbot, "öst") == ["Ada Öster"]
    assert search(screen, bench, qtbot, "give 2026-02") == ["Ben", "Ada Öster", "Chiara"]
    assert search(screen, bench, qtbot, "1999") == [] and page.empty.text() == NOBODY
    assert search(screen, bench, qtbot, "") != []


def test_enter_opens_the_review_and_then_the_next(
    make_bench: Make, put: Put, submission: Path, qtbot: QtBot
) -> None:
    first = make_bench()
    open_and_wait(first, qtbot, submission / "piece.csv")
    first.session.do(SetAthlete("Zoe", "Monday"))
    qtbot.waitUntil(lambda: not first.session.safe.unsaved, timeout=20000)
    review = first.session.review
    assert review is not None and review.path is not None
    path = review.path
    first.filling.keep_now()
    at_rest(first, qtbot)
    first.close()
    put("Ada", 3.0)
    moved = path.with_name("elsewhere.review")
    shutil.move(path, moved)
    screen = begun(make_bench, qtbot)
    bench = screen._session.parent()
    assert isinstance(bench, MainWindow) and column(screen, NAME) == ["Zoe", "Ada"]
    qtbot.keyClick(screen.page.search, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bench.session.review is not None, timeout=60000)
    at_rest(bench, qtbot)
    assert bench.session.state.athlete == "Zoe" and not screen.is_shown
    bench.session.close_review()
    qtbot.waitUntil(lambda: screen.is_shown, timeout=20000)
    at_rest(bench, qtbot)
    assert screen.page.current is not None and screen.page.current.athlete.name == "Ada"
    said: list[str] = []
    bench.messages.said.connect(lambda text, _problem, _offers: said.append(text))
    qtbot.keyClick(screen.page.search, Qt.Key.Key_Return)
    at_rest(bench, qtbot)
    assert "is not where it was" in said[-1] and bench.session.review is None


def test_old_reviews_are_taken_in(loaded: MainWindow, qtbot: QtBot, submission: Path) -> None:
    loaded.session.do(SetAthlete("Ada", "Monday"))
    qtbot.waitUntil(lambda: not loaded.session.safe.unsaved, timeout=20000)
    loaded[FirstScreen].take_in(submission)
    at_rest(loaded, qtbot)
    with Library.open() as library:
        assert [one.athlete.name for one in athletes(library)] == ["Ada"]


def test_over_an_open_review_it_comes_and_goes(loaded: MainWindow, qtbot: QtBot) -> None:
    screen = loaded[FirstScreen]
    loaded.menus.actions["athletes"].trigger()
    assert screen.is_shown
    qtbot.keyClick(screen.page.search, Qt.Key.Key_Escape)
    assert loaded.stage.currentIndex() == 0 and loaded.session.review is not None
