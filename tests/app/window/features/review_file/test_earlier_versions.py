"""Earlier versions, damaged reviews and rescued copies: shown, taken out, never written over."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog, QToolButton
from pytestqt.qtbot import QtBot

from app.review.file.store import read_review
from app.review.parts.notes import Note
from app.review.parts.state import ReviewState
from app.review.rescue import rescued
from app.review.review import Review
from app.window.features.review_file.recovering import EARLIER, RECOVER, RecoveredDialog
from app.window.features.review_file.rescued_copies import NONE, RescuedDialog
from app.window.features.review_file.versions import NONE_YET, VersionsDialog
from app.window.main_window import MainWindow
from app.window.session.settings import data_folder
from tests.app.window.conftest import open_and_wait
from tests.app.window.unsaved import TEN, change, path_of, saved, words_in
from tests.helpers.refusing_disks import protected
from tests.helpers.reviews import write_review

PAGE = 4096


@pytest.fixture
def written(tmp_path: Path) -> Path:
    """A review of forty notes, one of them long."""
    path = tmp_path / "athlete.review"
    notes = tuple(Note(f"{i:032x}", float(i), f"note {i} " + "x" * 900) for i in range(40))
    review = Review.create(path, ReviewState(title="Steady", notes=notes))
    review.close()
    return path


def damage(path: Path) -> None:
    """Spoil the page a note lies on."""
    data = bytearray(path.read_bytes())
    page = data.index(b"note 20 ") // PAGE * PAGE
    data[page : page + PAGE] = bytes(range(256)) * 16
    path.write_bytes(data)


def dialog_of(bench: MainWindow, qtbot: QtBot) -> VersionsDialog:
    qtbot.waitUntil(lambda: bool(bench.findChildren(VersionsDialog)), timeout=10000)
    dialog = bench.findChildren(VersionsDialog)[0]
    assert isinstance(dialog, VersionsDialog)
    return dialog


def offered(bench: MainWindow) -> dict[str, QToolButton]:
    return {b.text(): b for b in bench.message_line.findChildren(QToolButton)}


def test_without_a_version_it_says_when_one_is_kept(
    bench: MainWindow, written: Path, qtbot: QtBot
) -> None:
    open_and_wait(bench, qtbot, written)
    bench.menus.actions["versions"].trigger()
    dialog = dialog_of(bench, qtbot)
    assert NONE_YET in dialog.words.text() and "each session" in dialog.words.text()
    assert dialog.chosen is None


def test_an_earlier_version_says_what_differs_and_opens_as_a_copy(
    bench: MainWindow, written: Path, qtbot: QtBot
) -> None:
    before, before_id = words_in(written), read_review(written).review_id
    open_and_wait(bench, qtbot, written)
    change(bench)
    saved(bench, qtbot)
    bench.menus.actions["versions"].trigger()
    dialog = dialog_of(bench, qtbot)
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=10000)
    row = dialog.list.topLevelItem(0)
    assert row is not None and row.text(2) == "10 notes added"
    dialog.open_copy.click()
    qtbot.waitUntil(lambda: path_of(bench) != written, timeout=10000)
    copy = path_of(bench)
    assert copy.parent == written.parent and copy.name.startswith("athlete (")
    assert words_in(copy) == before
    assert words_in(written) == before | TEN
    assert read_review(written).review_id == before_id != read_review(copy).review_id


def test_a_damaged_review_is_recovered_beside_and_what_is_lost_is_listed(
    bench: MainWindow, written: Path, qtbot: QtBot
) -> None:
    damage(written)
    spoilt = written.read_bytes()
    open_and_wait(bench, qtbot, written)
    assert bench.session.review is None
    assert EARLIER not in offered(bench)
    assert "recover what" in bench.message_line.text and "`" not in bench.message_line.text
    offered(bench)[RECOVER].click()
    qtbot.waitUntil(lambda: bench.session.review is not None, timeout=20000)
    assert path_of(bench).name == "athlete (recovered).review"
    (dialog,) = bench.findChildren(RecoveredDialog)
    said = dialog.text.toPlainText()
    assert EARLIER in dialog.words.text()
    count = len(bench.session.state.notes)
    assert 0 < count < 40 and f"{count} notes" in said.split("Lost")[0]
    assert said.split("Lost or changed:")[1].strip()
    assert written.read_bytes() == spoilt


def test_a_damaged_review_has_its_earlier_versions(
    bench: MainWindow, written: Path, qtbot: QtBot
) -> None:
    before = words_in(written)
    open_and_wait(bench, qtbot, written)
    change(bench)
    saved(bench, qtbot)
    other = written.with_name("other.review")
    write_review(other, ReviewState(title="Another"))
    open_and_wait(bench, qtbot, other)
    damage(written)
    open_and_wait(bench, qtbot, written)
    offered(bench)[EARLIER].click()
    dialog_of(bench, qtbot).open_copy.click()
    qtbot.waitUntil(lambda: path_of(bench) != other, timeout=10000)
    assert words_in(path_of(bench)) == before


def test_a_file_that_is_no_review_is_not_offered_to_be_recovered_into_nothing(
    bench: MainWindow, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "broken.review"
    path.write_bytes(b"not a database" * 400)
    open_and_wait(bench, qtbot, path)
    button = offered(bench).get(RECOVER)
    if button is not None:
        button.click()
        qtbot.waitUntil(lambda: "Nothing of a review" in bench.message_line.text, timeout=10000)
    assert bench.session.review is None
    assert [p.name for p in tmp_path.glob("*.review")] == ["broken.review"]


def test_rescued_copies_are_listed_until_they_are_taken_off_or_have_a_place(
    bench: MainWindow,
    written: Path,
    qtbot: QtBot,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    review = Review.open(written)
    review.protect(data_folder())
    review.on_save_error = lambda _sentence: None
    with protected(written):
        from app.review.parts.about import SetAthlete

        review.do(SetAthlete("Zoë", "Steady"))
        review.close()
    (copy,) = rescued(data_folder())
    open_and_wait(bench, qtbot, written)
    assert copy.name in bench.message_line.text
    offered(bench)["Open the copy"].click()
    qtbot.waitUntil(lambda: path_of(bench) == copy, timeout=10000)
    assert bench.session.state.athlete == "Zoë"
    target = tmp_path / "put right.review"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
    bench.menus.actions["save_as"].trigger()
    qtbot.waitUntil(lambda: path_of(bench) == target, timeout=10000)
    assert read_review(target).athlete == "Zoë"
    # The saver's thread knows the new name a moment before the window does.
    qtbot.waitUntil(lambda: bench.windowTitle().startswith("put right.review"), timeout=10000)
    settings = bench.session._settings
    qtbot.waitUntil(lambda: settings.recent_reviews()[0] == target, timeout=10000)
    assert rescued(data_folder()) == () and copy.is_file()
    bench.menus.actions["rescued"].trigger()
    (dialog,) = bench.findChildren(RescuedDialog)
    assert dialog.words.text() == NONE


def test_saving_under_a_name_that_cannot_be_written_changes_nothing(
    bench: MainWindow, written: Path, qtbot: QtBot, tmp_path: Path
) -> None:
    open_and_wait(bench, qtbot, written)
    bench.session.saving_as.save(tmp_path / "no such folder" / "a.review")
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=10000)
    assert "The review stays where it was." in bench.message_line.text
    assert path_of(bench) == written
    change(bench)
    assert words_in(saved(bench, qtbot)) >= TEN
