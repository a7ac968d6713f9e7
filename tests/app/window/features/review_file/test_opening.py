"""What opens, what does not, and what the coach is told."""

from __future__ import annotations

import json
import shutil
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.review.parts.about import SetAthlete
from app.window.features.footage.capture_rate import CaptureRate
from app.window.features.notes.feature import NotesFeature
from app.window.features.review_file.choosing import ChoiceDialog
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.review_file.opening import Opening
from app.window.features.review_file.recent import RecentReviews
from app.window.main_window import MainWindow
from app.window.session.playhead import Span
from app.window.session.settings import data_folder
from app.window.tasks.unfinished import WAIT
from tests.app.window.conftest import open_and_wait
from tests.helpers.patience import HANGS_S
from tests.helpers.pieces import FOUR_STROKES


def test_footage_alone_opens(bench: MainWindow, submission: Path, qtbot: QtBot) -> None:
    open_and_wait(bench, qtbot, submission / "piece.mp4")
    assert bench.session.footage is not None
    assert bench.view.stroke is None
    qtbot.keyClick(bench, Qt.Key.Key_Right)
    qtbot.keyClick(bench, Qt.Key.Key_N)
    assert len(bench.session.state.notes) == 1
    assert not bench.menus.actions["next_catch"].isEnabled()


def test_force_alone_opens_and_moves(bench: MainWindow, submission: Path, qtbot: QtBot) -> None:
    open_and_wait(bench, qtbot, submission / "piece.csv")
    force = bench.session.submission.force
    assert force is not None
    qtbot.keyClick(bench, Qt.Key.Key_Down)
    assert bench.playhead.time_s == pytest.approx(force.piece.strokes[0].catch_s)
    assert bench.picture.frame is None
    qtbot.keyClick(bench, Qt.Key.Key_N)
    assert bench.session.state.notes[0].video_s == pytest.approx(force.piece.strokes[0].catch_s)


def test_force_dropped_later_joins_the_review(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, submission / "piece.mp4")
    review = bench.session.review
    open_and_wait(bench, qtbot, submission / "piece.csv")
    assert bench.session.review is review
    assert bench.session.state.trace is not None
    assert bench.session.submission.piece is not None
    assert bench.session.footage is not None


def test_a_review_opens_again_as_it_was(
    make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot
) -> None:
    first = make_bench()
    open_and_wait(first, qtbot, submission / "piece.mp4", submission / "piece.csv")
    qtbot.keyClick(first, Qt.Key.Key_N)
    qtbot.keyClick(first, Qt.Key.Key_T)
    qtbot.keyClicks(first[NotesFeature].panel._words, "Keep it long.")
    state = first.session.state
    first.close()
    second = make_bench()
    open_and_wait(second, qtbot, submission / "piece.review")
    assert second.session.state == state
    assert second[NotesFeature].panel._list.count() == 1


def test_opening_the_footage_again_opens_its_review(
    make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot
) -> None:
    first = make_bench()
    open_and_wait(first, qtbot, submission / "piece.mp4", submission / "piece.csv")
    qtbot.keyClick(first, Qt.Key.Key_N)
    first.close()
    second = make_bench()
    open_and_wait(second, qtbot, submission / "piece.mp4", submission / "piece.csv")
    assert len(second.session.state.notes) == 1


def test_a_force_file_that_says_too_little_is_asked_about_once(
    make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot
) -> None:
    FOUR_STROKES.write(submission / "piece.csv", header="t,pull,x")
    bench = make_bench()
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    panel = bench[ReviewFileFeature].question
    assert panel.isVisible()
    panel.force.setCurrentIndex(1)
    panel.force_unit.setCurrentText("N")
    panel.time.setCurrentIndex(1)
    panel.time_unit.setCurrentText("s")
    qtbot.mouseClick(panel.read, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bench.session.submission.piece is not None, timeout=10000)
    assert not panel.isVisible()
    bench.close()
    shutil.copyfile(submission / "piece.mp4", submission / "next.mp4")
    FOUR_STROKES.write(submission / "next.csv", header="t,pull,x")
    again = make_bench()
    open_and_wait(again, qtbot, submission / "next.mp4", submission / "next.csv")
    assert not again[ReviewFileFeature].question.isVisible()
    assert again.session.submission.piece is not None


def test_volts_are_asked_for_what_they_are_worth(
    make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot
) -> None:
    FOUR_STROKES.write(submission / "piece.csv", header="time (s),force (V),x")
    bench = make_bench()
    open_and_wait(bench, qtbot, submission / "piece.mp4", submission / "piece.csv")
    panel = bench[ReviewFileFeature].question
    assert panel.isVisible() and panel.factor.isVisible() and not panel.read.isEnabled()
    panel.factor.setValue(2.0)
    qtbot.mouseClick(panel.read, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: bench.session.submission.piece is not None, timeout=10000)
    trace = bench.session.submission.piece.trace
    assert trace.intake.mapping.force_unit == "2 N/unit"
    assert trace.force_n.max() == pytest.approx(2.0 * FOUR_STROKES.peak_n, rel=0.01)


def test_footage_that_moved_is_said_and_the_notes_open(
    make_bench: Callable[..., MainWindow], submission: Path, qtbot: QtBot
) -> None:
    first = make_bench()
    open_and_wait(first, qtbot, submission / "piece.mp4", submission / "piece.csv")
    qtbot.keyClick(first, Qt.Key.Key_N)
    first.close()
    (submission / "piece.mp4").rename(submission / "elsewhere.mp4")
    second = make_bench()
    open_and_wait(second, qtbot, submission / "piece.review")
    assert "piece.mp4 is not where it was" in second.message_line.text
    assert len(second.session.state.notes) == 1
    assert second.session.submission.piece is not None


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.mp4", b""),
        ("text.mp4", b"this is no video"),
        ("binary.csv", bytes(range(256)) * 40),
        ("empty.csv", b""),
        ("words.csv", b"hello\nworld\n"),
        ("broken.review", b"not a database"),
    ],
)
def test_what_cannot_be_used_gets_one_sentence(
    bench: MainWindow, qtbot: QtBot, tmp_path: Path, name: str, content: bytes
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    open_and_wait(bench, qtbot, path)
    said = bench.message_line.text
    assert name in said
    assert said.rstrip().endswith(".")
    assert "Traceback" not in said
    assert bench.session.review is None
    assert not path.with_suffix(".review").exists() or name.endswith(".review")


def test_a_folder_is_refused_in_words(bench: MainWindow, qtbot: QtBot, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    open_and_wait(bench, qtbot, tmp_path / "folder")
    assert "folder" in bench.message_line.text
    assert bench.session.review is None


def test_the_sample_opens_prepared(bench: MainWindow, qtbot: QtBot) -> None:
    bench[Opening].open_sample()
    qtbot.waitUntil(
        lambda: bench.session.review is not None and not bench.jobs.running, timeout=30000
    )
    assert bench.session.footage is not None
    assert bench.session.submission.piece is not None
    assert bench.session.state.notes
    assert bench.session.state.target is not None


def test_slow_motion_is_told_and_taken_back(loaded: MainWindow, qtbot: QtBot) -> None:
    qtbot.keyClick(loaded, Qt.Key.Key_End)
    qtbot.keyClick(loaded, Qt.Key.Key_N)
    last = loaded.session.state.notes[0].video_s
    loaded[NotesFeature].panel._words.clearFocus()
    capture = loaded[CaptureRate]
    capture.tell_slower(4.0)  # the clip plays at 30

    def rate() -> float | None:
        footage = loaded.session.footage
        return footage.capture_fps if footage is not None else None

    qtbot.waitUntil(lambda: rate() == 120.0 and not loaded.jobs.running, timeout=20000)
    footage = loaded.session.footage
    assert footage is not None
    assert footage.index.time_s[-1] == pytest.approx(last / 4)
    assert loaded.session.state.notes[0].video_s == pytest.approx(last / 4)
    loaded.menus.actions["undo"].trigger()
    qtbot.waitUntil(lambda: rate() is None and not loaded.jobs.running, timeout=20000)
    assert loaded.session.state.notes[0].video_s == pytest.approx(last)
    capture.tell(120.0)
    qtbot.waitUntil(lambda: rate() == 120.0 and not loaded.jobs.running, timeout=20000)
    capture.tell(0.0)
    qtbot.waitUntil(lambda: rate() is None and not loaded.jobs.running, timeout=20000)
    assert loaded.session.state.notes[0].video_s == pytest.approx(last)


def test_a_folder_with_one_of_each_is_opened(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    bench.session.open_paths([submission])
    qtbot.waitUntil(
        lambda: not bench.jobs.running and bench.session.footage is not None, timeout=60_000
    )
    assert bench.session.submission.piece is not None


def test_an_empty_folder_and_a_photo_are_refused_with_a_way_on(
    bench: MainWindow, tmp_path: Path
) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    bench.session.open_paths([empty])
    assert "no footage, force file or review" in bench.message_line.text
    photo = tmp_path / "curve.jpg"
    photo.write_bytes(b"\xff\xd8")
    bench.session.open_paths([photo])
    assert "curve.jpg is a photo" in bench.message_line.text
    assert "ask the athlete for the file" in bench.message_line.text
    assert bench.session.review is None and not bench.jobs.running


def test_of_a_folder_with_force_alone_it_is_said_what_is_missing(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    (submission / "piece.mp4").unlink()
    open_and_wait(bench, qtbot, submission)
    assert bench.session.submission.piece is not None
    assert "the force is open alone; drop the film when it comes" in bench.message_line.text


def choice(bench: MainWindow, qtbot: QtBot) -> ChoiceDialog:
    qtbot.waitUntil(lambda: bool(bench.findChildren(ChoiceDialog)), timeout=20000)
    return bench.findChildren(ChoiceDialog)[-1]


def test_several_pairs_are_proposed_and_one_is_opened(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    for name in ("piece.mp4", "piece.csv"):
        shutil.copyfile(submission / name, submission / f"other{Path(name).suffix}")
    (submission / "third.mp4").touch()
    bench.session.open_paths([submission])
    dialog = choice(bench, qtbot)
    assert bench.session.review is None
    rows = [dialog.rows.item(i).text() for i in range(dialog.rows.count())]
    assert rows[0].startswith("other.mp4 + other.csv") and "same name" in rows[0]
    assert "third.mp4" in rows[2] and "film alone" in rows[2]
    dialog.rows.setCurrentRow(1)
    dialog.open_it.click()
    qtbot.waitUntil(
        lambda: bench.session.footage is not None and not bench.jobs.running, timeout=20000
    )
    assert bench.session.submission.piece is not None
    review = bench.session.review
    assert review is not None and review.path == submission / "piece.review"


def test_force_cut_in_two_is_offered_first_and_read_whole(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    head, *rows = (submission / "piece.csv").read_text("utf-8").splitlines()
    for number, part in enumerate((rows[: len(rows) // 2], rows[len(rows) // 2 :]), 1):
        (submission / f"piece {number}.csv").write_text("\n".join([head, *part]) + "\n", "utf-8")
    (submission / "piece.csv").unlink()
    bench.session.open_paths([submission])
    dialog = choice(bench, qtbot)
    row = dialog.rows.currentItem().text()
    assert row.startswith("piece.mp4 + piece 1.csv + piece 2.csv") and "nothing is missing" in row
    assert not dialog.rows.horizontalScrollBar().isVisible() and dialog.rows.wordWrap()
    assert any("joined into a new file" in label.text() for label in dialog.findChildren(QLabel))
    dialog.close()


def test_two_clips_are_asked_about(bench: MainWindow, submission: Path, qtbot: QtBot) -> None:
    second = shutil.copyfile(submission / "piece.mp4", submission / "second.mp4")
    bench.session.open_paths([submission / "piece.mp4", second])
    dialog = choice(bench, qtbot)
    rows = [dialog.rows.item(i).text() for i in range(dialog.rows.count())]
    assert len(rows) == 3 and bench.session.review is None
    assert rows[2].startswith("piece.mp4 + second.mp4") and "one piece" in rows[2]
    assert any("without a force file" in label.text() for label in dialog.findChildren(QLabel))
    dialog.close()


def test_closing_goes_back_to_the_empty_bench_and_opening_to_the_place(
    loaded: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    bench = loaded
    bench.session.do(SetAthlete("Zoë", "Steady"))
    bench.playhead.seek(3.0)
    bench.playhead.set_loop(Span(2.5, 4.0))
    bench.tabs.show_named("Notes")
    qtbot.keyClick(bench, Qt.Key.Key_W, Qt.KeyboardModifier.ControlModifier)
    assert bench.session.review is None and bench.session.footage is None
    assert bench.stage.currentWidget() is bench[ReviewFileFeature].invitation
    assert bench.windowTitle() == "Strokeside"
    assert bench.trace._notes == () and not bench.menus.actions["close"].isEnabled()
    (recent,) = bench[RecentReviews].listed()
    assert recent.words.startswith("Zoë  ·  Steady  ·  today ")
    menu = bench.menus.actions["recent"].menu()
    menu.aboutToShow.emit()  # type: ignore[attr-defined]
    (action,) = menu.actions()  # type: ignore[attr-defined]
    bench.tabs.setCurrentIndex(0)
    action.trigger()
    qtbot.waitUntil(
        lambda: bench.session.footage is not None and not bench.jobs.running, timeout=20000
    )
    assert bench.session.state.athlete == "Zoë"
    assert bench.playhead.wanted_s == pytest.approx(3.0)
    assert bench.playhead.loop == Span(2.5, 4.0)
    assert bench.tabs.current_name == "Notes"


@pytest.mark.parametrize(
    "place", [7, {}, {"at_s": "x", "loop_s": [1]}, {"at_s": 1e300, "loop_s": [3, -1], "tab": 4}]
)
def test_a_place_that_is_none_costs_nothing(
    loaded: MainWindow, submission: Path, qtbot: QtBot, place: object
) -> None:
    review_id = loaded.session.state.review_id
    loaded.menus.actions["close"].trigger()
    (data_folder() / "places.json").write_text(json.dumps({"places": {review_id: place}}))
    open_and_wait(loaded, qtbot, submission / "piece.review")
    assert loaded.playhead.loop is None and loaded.playhead.wanted_s == 0.0


def test_closing_asks_what_becomes_of_a_file_that_is_being_written(
    loaded: MainWindow, qtbot: QtBot
) -> None:
    go = threading.Event()
    loaded.jobs.run(
        "Writing it",
        lambda _p, _c: go.wait(HANGS_S),
        lambda _r: None,
        lambda _e: None,
        is_wanted=True,
    )
    loaded.menus.actions["close"].trigger()
    question = loaded.unfinished.question
    assert question is not None and loaded.session.review is not None
    next(b for b in question.buttons() if b.text() == WAIT).click()
    assert "The review closes when it is done." in loaded.message_line.text
    go.set()
    qtbot.waitUntil(lambda: loaded.session.review is None, timeout=20000)
