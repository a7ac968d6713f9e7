"""On the bench: only recordings that were reviewed, from where the coach chose them."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.review.parts.comparisons import AddComparison, new_comparison
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparisons import Comparisons
from app.window.features.review_file.rescued_copies import LIST
from app.window.features.sending.sending import Sending
from app.window.features.sending.sending_panel import SendingPanel
from app.window.main_window import MainWindow
from app.window.session.settings import data_folder
from tests.app.window.conftest import open_and_wait
from tests.helpers.reviews import write_review

MakeBench = Callable[..., MainWindow]
NOTE = Note("a" * 32, 1.0, "Sit up.")


def offered(bench: MainWindow) -> dict[str, QToolButton]:
    return {b.text(): b for b in bench.message_line.findChildren(QToolButton) if b.isVisible()}


def take(bench: MainWindow, qtbot: QtBot, words: str) -> None:
    qtbot.waitUntil(lambda: words in offered(bench))
    offered(bench)[words].click()
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def other_film(path: Path, at: int = 0) -> None:
    """Change the picture of a film somewhere in its middle and, where asked, its size."""
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(bytes(content) + b"\0" * at)


@pytest.fixture
def reviewed(submission: Path) -> Path:
    """Make a review of the submission with a note."""
    path = submission / "piece.review"
    film, force = submission / "piece.mp4", submission / "piece.csv"
    write_review(
        path,
        ReviewState(
            title="Piece",
            video=refer(film, "video", path),
            trace=refer(force, "trace", path),
            notes=(NOTE,),
        ),
    )
    return path


def test_another_film_of_another_size_does_not_come_onto_the_bench(
    bench: MainWindow, reviewed: Path, qtbot: QtBot
) -> None:
    other_film(reviewed.with_name("piece.mp4"), 1)
    open_and_wait(bench, qtbot, reviewed)
    assert bench.session.footage is None
    assert bench.session.submission.piece is not None
    assert bench.session.state.notes == (NOTE,)
    said = bench.message_line.text
    assert "piece.mp4 is another recording than the one reviewed" in said
    assert "kept" in said
    both = {"Find the right one …", "Take it as new footage"}
    qtbot.waitUntil(lambda: both <= set(offered(bench)))


def test_a_rescued_copy_does_not_hide_what_is_said_of_the_film(
    bench: MainWindow, reviewed: Path, qtbot: QtBot
) -> None:
    other_film(reviewed.with_name("piece.mp4"), 1)
    copy = reviewed.with_name("someone (rescued 2026-01-01 10.00.00).review")
    write_review(copy, ReviewState(title="Someone"))
    data_folder().mkdir(parents=True, exist_ok=True)
    (data_folder() / "rescued.json").write_text(json.dumps([str(copy)]), "utf-8")
    open_and_wait(bench, qtbot, reviewed)
    said = bench.message_line.text
    assert "piece.mp4 is another recording than the one reviewed" in said
    assert "lies in a copy" in said
    qtbot.waitUntil(lambda: {"Take it as new footage", LIST} <= set(offered(bench)))


def test_a_film_changed_in_its_middle_is_put_away_once_it_was_read(
    bench: MainWindow, reviewed: Path, qtbot: QtBot
) -> None:
    other_film(reviewed.with_name("piece.mp4"))
    open_and_wait(bench, qtbot, reviewed)
    qtbot.waitUntil(lambda: bench.session.footage is None, timeout=20000)
    assert "piece.mp4 is another recording" in bench.message_line.text
    assert bench.session.submission.piece is not None
    assert bench.picture.frame is None


def test_the_right_film_is_compared_once(
    make_bench: MakeBench, reviewed: Path, qtbot: QtBot
) -> None:
    for name in ("piece.mp4", "piece.csv"):
        os.utime(reviewed.with_name(name), (1_600_000_000, 1_600_000_000))
    titles: list[str] = []
    for expected in (1, 0):
        bench = make_bench()
        titles.clear()
        bench.jobs.started.connect(lambda job: titles.append(job.title))
        open_and_wait(bench, qtbot, reviewed)
        assert bench.session.footage is not None
        assert len([t for t in titles if t.startswith("Comparing")]) == expected
        bench.close()


def test_another_film_can_be_taken_deliberately_and_that_undone(
    bench: MainWindow, reviewed: Path, qtbot: QtBot
) -> None:
    film = reviewed.with_name("piece.mp4")
    other_film(film, 1)
    open_and_wait(bench, qtbot, reviewed)
    take(bench, qtbot, "Take it as new footage")
    qtbot.waitUntil(lambda: bench.session.footage is not None, timeout=20000)
    assert bench.session.state.video == refer(film, "video", reviewed)
    assert bench.session.state.notes == (NOTE,)
    bench.menus.actions["undo"].trigger()
    qtbot.waitUntil(lambda: bench.session.footage is None, timeout=20000)
    assert "piece.mp4 is another recording" in bench.message_line.text


def test_a_film_elsewhere_is_asked_about_once(
    make_bench: MakeBench, submission: Path, qtbot: QtBot
) -> None:
    review = submission / "stranger" / "a.review"
    review.parent.mkdir()
    film = submission / "piece.mp4"
    write_review(review, ReviewState(video=refer(film, "video", review), notes=(NOTE,)))
    bench = make_bench()
    open_and_wait(bench, qtbot, review)
    assert bench.session.footage is None
    assert bench.session.state.notes == (NOTE,)
    assert f"outside the review's folder: {film}. Use it?" in bench.message_line.text
    take(bench, qtbot, "Use it")
    qtbot.waitUntil(lambda: bench.session.footage is not None, timeout=20000)
    bench.close()
    again = make_bench()
    open_and_wait(again, qtbot, review)
    assert again.session.footage is not None


def test_nothing_is_sent_of_another_film(bench: MainWindow, reviewed: Path, qtbot: QtBot) -> None:
    open_and_wait(bench, qtbot, reviewed)
    other_film(reviewed.with_name("piece.mp4"))
    bench[Sending].write()
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)
    assert "piece.mp4 is another recording" in bench.message_line.text
    qtbot.waitUntil(lambda: "Take it as new footage" in offered(bench))
    assert not reviewed.with_name("piece-feedback").exists()


def test_the_preparation_says_so_and_asks(bench: MainWindow, reviewed: Path, qtbot: QtBot) -> None:
    open_and_wait(bench, qtbot, reviewed)
    other_film(reviewed.with_name("piece.mp4"))
    bench[Sending].show_panel()
    qtbot.waitUntil(lambda: "Take it as new footage" in offered(bench), timeout=60000)
    assert "piece.mp4 is another recording" in bench.message_line.text
    qtbot.waitUntil(lambda: not any(p.isVisible() for p in bench.findChildren(SendingPanel)))


def test_a_comparison_with_a_private_review_asks_first(
    bench: MainWindow, reviewed: Path, tmp_path_factory: pytest.TempPathFactory, qtbot: QtBot
) -> None:
    private = tmp_path_factory.mktemp("private") / "jane.review"
    film = reviewed.with_name("piece.mp4")
    (private.parent / "film.mp4").write_bytes(film.read_bytes())
    write_review(private, ReviewState(video=refer(private.parent / "film.mp4", "video", private)))
    open_and_wait(bench, qtbot, reviewed)
    here = StrokeRef("", 0.5, 1.0, 2.0)
    there = StrokeRef(private.as_posix(), 0.5, 1.0, 2.0)
    bench.session.do(AddComparison(new_comparison(here, there)))
    asked: list[str] = []
    came: list[object] = []
    shelf = bench[Comparisons].comparing._shelf
    shelf.fetch("bench", there, came.append, asked.append)
    qtbot.waitUntil(lambda: bool(asked), timeout=20000)
    assert "outside this review's folder" in asked[0]
    take(bench, qtbot, "Use it")
    shelf.fetch("bench", there, came.append, asked.append)
    qtbot.waitUntil(lambda: bool(came), timeout=20000)
    assert len(asked) == 1
