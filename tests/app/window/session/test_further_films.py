"""A piece in several films on the bench: it plays as one, and undo takes a film away again."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QToolButton
from pytestqt.qtbot import QtBot

from app.review.parts.films import AddFilms, PlaceFilm, new_film
from app.review.recordings import refer
from app.window.actions.feature import Feature
from app.window.features.footage.feature import FootageFeature
from app.window.features.review_file.choosing import ChoiceDialog
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.features.review_file.films_dialog import FilmsDialog, FilmsOfPiece
from app.window.main_window import MainWindow
from app.window.views.showing import films_shown
from samples.submission import small_sample
from tests.app.window.conftest import open_and_wait
from tests.helpers.clips import needs_ffmpeg, number_in
from tests.helpers.cut_films import FPS, cut_film

pytestmark = needs_ffmpeg


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    return (FootageFeature, ReviewFileFeature)


@pytest.fixture
def films(tmp_path: Path) -> tuple[Path, Path]:
    return cut_film(tmp_path / "a 1.mp4", 0, 60), cut_film(tmp_path / "a 2.mp4", 90, 150)


@pytest.fixture
def cut(bench: MainWindow, films: tuple[Path, Path], qtbot: QtBot) -> MainWindow:
    """The first film on the bench, the second added a second after its end."""
    open_and_wait(bench, qtbot, films[0])
    add(bench, films[1], 3.0)
    qtbot.waitUntil(lambda: shown_films(bench) == 2, timeout=20000)
    return bench


def add(bench: MainWindow, film: Path, offset_s: float) -> None:
    review = bench.session.review
    assert review is not None and review.path is not None
    ref = refer(film, "video", review.path)
    bench.session.do(AddFilms((new_film(ref, offset_s, 0.02, "force"),)))


def shown_films(bench: MainWindow) -> int:
    return 0 if bench.session.footage is None else len(bench.session.footage.reel)


def idle(bench: MainWindow, qtbot: QtBot) -> None:
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=60000)


def number_on_screen(bench: MainWindow) -> int | None:
    frame = bench.picture.frame
    return None if frame is None else number_in(frame.image_bgra)


def go(bench: MainWindow, qtbot: QtBot, time_s: float, number: int | None) -> None:
    bench.playhead.seek(time_s)
    qtbot.waitUntil(lambda: number_on_screen(bench) == number, timeout=20000)


def test_the_playhead_runs_over_both_films(cut: MainWindow, qtbot: QtBot) -> None:
    for time_s, number in ((1.0, 30), (4.0, 120), (59.4 / FPS, 59), (3.0, 90), (0.0, 0)):
        go(cut, qtbot, time_s, number)
    assert cut.playhead.range.end_s == pytest.approx(149 / FPS)
    go(cut, qtbot, 59 / FPS, 59)
    cut.playhead.step(1)
    qtbot.waitUntil(lambda: number_on_screen(cut) == 90, timeout=20000)
    cut.playhead.step(-1)
    qtbot.waitUntil(lambda: number_on_screen(cut) == 59, timeout=20000)


def test_where_nothing_was_filmed_it_is_said(cut: MainWindow, qtbot: QtBot) -> None:
    go(cut, qtbot, 2.5, None)
    assert "Nothing was filmed here for 1.0 s" in cut.picture.words
    assert cut.playhead.time_s == 2.5


def test_the_trace_shows_where_films_are(cut: MainWindow) -> None:
    assert cut.session.footage is not None
    spans = films_shown(cut.session.footage)
    assert [(s.start_s, s.end_s) for s in spans] == [
        pytest.approx((0.0, 2.0)),
        pytest.approx((3.0, 5.0)),
    ]


def test_undo_takes_the_film_off_and_the_coach_stays_where_they_are(
    cut: MainWindow, qtbot: QtBot
) -> None:
    go(cut, qtbot, 1.0, 30)
    cut.session.undo()
    qtbot.waitUntil(lambda: shown_films(cut) == 1, timeout=20000)
    assert cut.session.state.films == ()
    assert cut.playhead.range.end_s == pytest.approx(59 / FPS)
    cut.session.redo()
    qtbot.waitUntil(lambda: shown_films(cut) == 2, timeout=20000)
    go(cut, qtbot, 4.0, 120)
    film = cut.session.state.films[0]
    cut.session.do(PlaceFilm(film.id, 2.5))
    qtbot.waitUntil(
        lambda: cut.session.footage is not None and cut.session.footage.reel[1].starts_s == 2.5,
        timeout=20000,
    )
    assert cut.playhead.wanted_s == 4.0
    go(cut, qtbot, 2.5, 90)


def test_the_review_opens_with_all_of_its_films(
    cut: MainWindow, films: tuple[Path, Path], qtbot: QtBot
) -> None:
    review = cut.session.review
    assert review is not None and review.path is not None
    place = review.path
    cut.session.close_review()
    qtbot.waitUntil(lambda: cut.session.review is None, timeout=20000)
    films[1].rename(films[1].with_name("gone.mp4"))
    open_and_wait(cut, qtbot, place)
    assert shown_films(cut) == 1, "a film that is missing is a gap"
    assert "a 2.mp4 is not where it was" in cut.message_line.text
    films[1].with_name("gone.mp4").rename(films[1])
    open_and_wait(cut, qtbot, place)
    assert shown_films(cut) == 2
    go(cut, qtbot, 4.0, 120)


def test_a_second_film_on_an_open_review_is_asked_about(
    bench: MainWindow, films: tuple[Path, Path], qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, films[0])
    bench.session.open_paths([films[1]])
    assert "Nothing was changed yet" in bench.message_line.text
    buttons = {b.text(): b for b in bench.message_line.findChildren(QToolButton)}
    assert {"Begin a new review", "Put it in place of this film"} <= set(buttons)
    buttons["Add it to this piece"].click()
    qtbot.waitUntil(lambda: shown_films(bench) == 2, timeout=60000)
    (film,) = bench.session.state.films
    assert (film.how, film.offset_s) == ("order", pytest.approx(2.0))
    assert "not sure" in bench.message_line.text, "nothing tells how long the gap is"


def test_two_films_dropped_together_can_be_of_one_piece(
    bench: MainWindow, films: tuple[Path, Path], qtbot: QtBot
) -> None:
    bench.session.open_paths(films)
    qtbot.waitUntil(lambda: bool(bench.findChildren(ChoiceDialog)), timeout=20000)
    (dialog,) = bench.findChildren(ChoiceDialog)
    words = [dialog.rows.item(i).text() for i in range(dialog.rows.count())]
    at = next(i for i, text in enumerate(words) if "one piece in several films" in text)
    assert words[at].startswith("a 1.mp4 + a 2.mp4")
    dialog.rows.setCurrentRow(at)
    dialog.open_it.click()
    qtbot.waitUntil(lambda: shown_films(bench) == 2, timeout=60000)
    go(bench, qtbot, 3.0, 120)


def test_no_pair_is_called_likely_where_two_films_could_be_of_one_force() -> None:
    from app.submission.pairing import Proposal
    from app.window.features.review_file import choosing

    left, right, force = Path("left.mp4"), Path("right.mp4"), Path("force.csv")
    alone = (Proposal(None, force), Proposal(left, None), Proposal(right, None))
    together = Proposal(left, force, more=(right,))
    assert choosing._asking((*alone, together)) == choosing.TOGETHER
    assert choosing._asking((Proposal(left, force), together)) == choosing.WORDS


def test_the_list_of_films_moves_and_removes_them(cut: MainWindow, qtbot: QtBot) -> None:
    cut[FilmsOfPiece].show()
    (dialog,) = cut.findChildren(FilmsDialog)
    assert [dialog.rows.item(i).text().split("\n")[0] for i in range(2)] == ["a 1.mp4", "a 2.mp4"]
    assert "± 20 ms, by the force" in dialog.rows.item(1).text()
    assert not dialog.remove.isEnabled(), "the first is the review's clock"
    dialog.rows.setCurrentRow(1)
    dialog.begins.setValue(3.5)
    film = cut.session.state.films[0]
    assert (film.offset_s, film.how) == (3.5, "by hand")
    qtbot.waitUntil(lambda: not cut.jobs.running, timeout=20000)
    go(cut, qtbot, 3.5, 90)
    dialog.remove.click()
    assert cut.session.state.films == ()
    qtbot.waitUntil(lambda: shown_films(cut) == 1, timeout=20000)
    dialog.close()


def test_a_film_that_came_twice_is_left_out_and_said_to_be(
    bench: MainWindow, films: tuple[Path, Path], tmp_path: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, films[0])
    twin = tmp_path / "WA0001.mp4"
    twin.write_bytes(films[0].read_bytes())
    bench.session.further_wanted.emit((twin,))
    said = "WA0001.mp4 shows the same film as a 1.mp4 and was left out."
    qtbot.waitUntil(lambda: bench.message_line.text == said, timeout=60000)
    assert bench.session.state.films == ()


def test_two_force_files_dropped_together_can_be_of_one_piece(
    bench: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    head, *rows = small_sample().force.read_text("utf-8").splitlines()
    halves = tmp_path / "anna 1.csv", tmp_path / "anna 2.csv"
    for path, own in zip(halves, (rows[:1200], rows[1300:]), strict=True):
        path.write_text("\n".join([head, *own]) + "\n", "utf-8")
    bench.session.open_paths(halves)
    qtbot.waitUntil(lambda: bool(bench.findChildren(ChoiceDialog)), timeout=20000)
    (dialog,) = bench.findChildren(ChoiceDialog)
    words = [dialog.rows.item(i).text() for i in range(dialog.rows.count())]
    at = next(i for i, text in enumerate(words) if "were joined by their times" in text)
    assert words[at].startswith("anna 1.csv + anna 2.csv")
    dialog.rows.setCurrentRow(at)
    dialog.open_it.click()
    qtbot.waitUntil(lambda: bench.session.submission.piece is not None, timeout=60000)
    idle(bench, qtbot)
    piece, trace = bench.session.submission.piece, bench.session.state.trace
    assert piece is not None and len(piece.trace.time_s) == len(rows) - 100
    assert trace is not None and trace.path == "anna 1 joined.csv"
