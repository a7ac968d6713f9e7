"""Of the athlete that is chosen everything is saved or deleted; of another one nothing."""

from __future__ import annotations

import json
import shutil
import zipfile
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from app.library.library import Library
from app.library.overview import athletes
from app.review.parts.about import SetAthlete
from app.window.features.athletes.deletion_dialog import DELETE, SURE, DeletionDialog
from app.window.features.athletes.first_screen import FirstScreen
from app.window.features.athletes.one_athlete import CHOOSE, OneAthlete
from app.window.main_window import MainWindow
from app.window.session import coach_library
from app.window.session.settings import Settings
from tests.app.window.conftest import open_and_wait
from tests.helpers.patience import HANGS_MS


class Two:
    """Ada and Ben, each with a review and a force file of their own; the list is shown."""

    def __init__(self, bench: MainWindow, qtbot: QtBot, folder: Path, piece: Path) -> None:
        self.bench, self.qtbot = bench, qtbot
        self.folder = folder
        self.said: list[str] = []
        bench.messages.said.connect(lambda text, _problem, _offers: self.said.append(text))
        self.reviews: dict[str, Path] = {}
        self.forces: dict[str, Path] = {}
        for name in ("Ada", "Ben"):
            self._review(name, folder / name.lower(), piece)
        if not bench[FirstScreen].is_shown:
            bench[FirstScreen].show()
        self.rest()

    def _review(self, name: str, folder: Path, piece: Path) -> None:
        folder.mkdir()
        force = folder / f"{name.lower()}.csv"
        shutil.copyfile(piece, force)
        with force.open("a") as more:
            more.write("\n" * len(self.forces))  # another content, the same piece
        open_and_wait(self.bench, self.qtbot, force)
        session = self.bench.session
        session.do(SetAthlete(name, "Monday"))
        self.qtbot.waitUntil(lambda: not session.safe.unsaved, timeout=HANGS_MS)
        assert session.review is not None and session.review.path is not None
        self.reviews[name], self.forces[name] = session.review.path, force
        self.bench.filling.keep_now()
        self.rest()
        session.close_review()
        self.qtbot.waitUntil(lambda: session.review is None, timeout=HANGS_MS)
        self.rest()

    def rest(self) -> None:
        self.qtbot.waitUntil(lambda: not self.bench.jobs.running, timeout=HANGS_MS)

    def choose(self, name: str) -> None:
        page = self.bench[FirstScreen].page
        rows = page.rows
        names = [rows.index(row, 0).data() for row in range(rows.rowCount())]
        page.table.selectRow(names.index(name))

    def do(self, begins: str) -> None:
        page = self.bench[FirstScreen].page
        (one,) = (a for a in page.more.menu().actions() if a.text().startswith(begins))
        one.trigger()

    def ask_to_delete(self, name: str) -> DeletionDialog | None:
        self.choose(name)
        self.do("Delete")
        self.rest()
        return self.bench[OneAthlete].dialog

    def known(self) -> list[str]:
        with Library.open(coach_library.own_file()) as library:
            return sorted(one.athlete.name for one in athletes(library))

    def all_is_there(self, name: str) -> bool:
        return name in self.known() and self.reviews[name].is_file() and self.forces[name].is_file()


@pytest.fixture
def two(bench: MainWindow, qtbot: QtBot, submission: Path, tmp_path: Path) -> Two:
    return Two(bench, qtbot, tmp_path, submission / "piece.csv")


def listed(dialog: DeletionDialog) -> list[str]:
    return [dialog.rows.item(row).text().strip() for row in range(dialog.rows.count())]


def test_one_is_deleted_on_two_yeses_and_the_other_is_untouched(two: Two) -> None:
    ben = two.reviews["Ben"].read_bytes(), two.forces["Ben"].read_bytes()
    dialog = two.ask_to_delete("Ada")
    assert dialog is not None and "Ada" in dialog.windowTitle()
    lines = listed(dialog)
    assert "Ada" in lines[0] and f"Review  ·  {two.reviews['Ada'].name}" in lines
    assert any(line.startswith("Recording  ·  ada.csv") for line in lines)
    assert not any("ben" in line.lower() for line in lines)
    assert "What remains elsewhere" in dialog.remains.text(), "said before, not only after"
    assert not dialog.media.isChecked(), "the recordings are the coach's choice"
    dialog.media.setChecked(True)
    dialog.delete.click()
    assert dialog.delete.text() == SURE and two.all_is_there("Ada")
    dialog.delete.click()
    two.rest()
    assert two.known() == ["Ben"]
    assert not two.reviews["Ada"].exists() and not two.forces["Ada"].exists()
    assert two.all_is_there("Ben")
    assert (two.reviews["Ben"].read_bytes(), two.forces["Ben"].read_bytes()) == ben
    assert listed(dialog) == [] and not dialog.delete.isEnabled()
    assert "not in the library any more" in dialog.state.text()
    assert "What remains elsewhere" in dialog.remains.text()
    page = two.bench[FirstScreen].page
    assert page.rows.rowCount() == 1 and page.current is not None
    assert page.current.athlete.name == "Ben"


def test_what_is_settled_later_does_not_write_the_name_again(two: Two) -> None:
    """The settings are in memory while they are taken out of the file."""
    settings = two.bench[Settings]
    for name in ("Ada", "Ben"):
        settings.add_recent(two.reviews[name])
        settings.tell_of(two.reviews[name], name, "Monday")
    dialog = two.ask_to_delete("Ada")
    assert dialog is not None
    dialog.delete.click()
    dialog.delete.click()
    two.rest()
    settings.cache_mb = 300
    told = (two.folder / "settings.json").read_text()
    assert "Ben" in told and "Ada" not in told and "ada.review" not in told


def test_years_of_bundles_leave_the_buttons_on_the_screen(bench: MainWindow) -> None:
    dialog = DeletionDialog("Delete", bench)
    dialog.lay_out()
    dialog.show_remains(
        [f"The bundle of day {day} is with whoever it was sent to." for day in range(200)]
    )
    dialog.show()
    QApplication.processEvents()
    assert dialog.height() <= 500 and dialog.delete.isVisible() and dialog.remains.isVisible()
    dialog.close()


def test_recordings_stay_unless_the_coach_agrees(two: Two) -> None:
    dialog = two.ask_to_delete("Ada")
    assert dialog is not None
    dialog.delete.click()
    dialog.delete.click()
    two.rest()
    assert two.known() == ["Ben"] and not two.reviews["Ada"].exists()
    assert two.forces["Ada"].is_file()
    assert f"{two.forces['Ada']} stays" in dialog.remains.text()


def test_closing_or_unticking_keeps_all(two: Two) -> None:
    dialog = two.ask_to_delete("Ada")
    assert dialog is not None
    dialog.delete.click()
    dialog.rows.item(0).setCheckState(Qt.CheckState.Unchecked)
    assert dialog.delete.text() == DELETE and not dialog.delete.isEnabled()
    dialog.rows.item(0).setCheckState(Qt.CheckState.Checked)
    dialog.delete.click()
    dialog.close()
    two.rest()
    assert two.bench[OneAthlete].dialog is None
    assert two.all_is_there("Ada") and two.all_is_there("Ben")


def test_the_open_review_is_closed_first(two: Two, qtbot: QtBot) -> None:
    session = two.bench.session
    session.open_review(two.reviews["Ada"])
    two.rest()
    two.bench[FirstScreen].show()
    two.rest()
    assert two.ask_to_delete("Ada") is None
    assert "is open; close it first" in two.said[-1] and two.all_is_there("Ada")
    dialog = two.ask_to_delete("Ben")  # another one's may be open
    assert dialog is not None
    session.open_review(two.reviews["Ben"])  # opened while it is asked
    two.rest()
    dialog.delete.click()
    dialog.delete.click()
    two.rest()
    assert "is open; close it first" in dialog.state.text() and two.all_is_there("Ben")
    assert dialog.delete.text() == DELETE and dialog.delete.isEnabled(), "can be asked again"
    session.close_review()
    qtbot.waitUntil(lambda: session.review is None, timeout=HANGS_MS)
    two.rest()
    dialog.delete.click()
    dialog.delete.click()
    two.rest()
    assert two.known() == ["Ada"]


def test_all_about_one_is_one_archive(
    two: Two, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "all.zip"
    target.write_bytes(b"the system's dialog asked whether to replace this")
    proposed: list[str] = []

    def ask(_parent: object, title: str, where: str, _kinds: str) -> tuple[str, str]:
        proposed.extend((title, Path(where).name))
        return str(target), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", ask)
    two.choose("Ada")
    two.do("Save all")
    two.rest()
    assert proposed == ["Save all about Ada", "Ada.zip"]
    assert "all.zip holds all about Ada" in two.said[-1]
    with zipfile.ZipFile(target) as archive:
        names = archive.namelist()
        record = json.loads(archive.read("athlete.json"))
        assert archive.read("recordings/001 ada.csv") == two.forces["Ada"].read_bytes()
    assert record["athlete"]["name"] == "Ada" and len(record["reviews"]) == 1
    assert any(name.startswith("reviews/") for name in names)
    assert not any("ben" in name.lower() for name in names)
    assert two.all_is_there("Ada") and two.all_is_there("Ben")


def test_no_file_named_writes_none_and_an_unasked_one_is_left(
    two: Two, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine.zip").write_bytes(b"mine")
    answers = iter([("", ""), (str(tmp_path / "mine"), "")])
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_asked: next(answers))
    before = sorted(tmp_path.rglob("*"))
    two.choose("Ben")
    for _time in range(2):
        two.do("Save all")
        two.rest()
    assert sorted(tmp_path.rglob("*")) == before
    assert (tmp_path / "mine.zip").read_bytes() == b"mine" and "exists already" in two.said[-1]


def test_only_who_is_seen_is_meant(two: Two) -> None:
    two.choose("Ada")
    two.bench[FirstScreen].leave()
    for what in ("Delete", "Save all"):
        two.do(what)
        two.rest()
        assert two.bench[OneAthlete].dialog is None and two.said[-1] == CHOOSE


def test_the_button_and_a_right_click_offer_both(bench: MainWindow) -> None:
    page = bench[FirstScreen].page
    words = ["Save all about this athlete …", "Delete this athlete …"]
    assert [action.text() for action in page.more.menu().actions()] == words
    assert page.table.actions() == page.more.menu().actions()
    assert page.table.contextMenuPolicy() == Qt.ContextMenuPolicy.ActionsContextMenu
    assert not page.more.isVisible(), "nobody is listed yet"
