"""The open review with its recordings as one file, dropped on another machine's window."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.review.file.store import read_review
from app.review.parts.about import SetAthlete
from app.window.features.review_file.archiving import Archiving
from app.window.main_window import MainWindow
from app.window.session.incoming_files import IncomingFiles


def test_saved_and_dropped_elsewhere(
    loaded: MainWindow, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    review = loaded.session.review
    assert review is not None
    review.do(SetAthlete("Maren", ""))
    other = tmp_path / "another machine"
    other.mkdir()
    proposed = []

    def choose(_parent: object, _title: str, name: str, _kinds: str) -> tuple[str, str]:
        proposed.append(Path(name).name)
        return str(other / "Maren"), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", choose)
    loaded[Archiving].begin()
    qtbot.waitUntil(lambda: (other / "Maren.zip").exists(), timeout=20000)
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=20000)
    assert proposed == ["piece with recordings.zip"]
    assert "Maren.zip holds the review and 2 recordings" in loaded.message_line.text
    loaded[IncomingFiles].open([other / "Maren.zip"])
    there = other / "piece" / "piece.review"
    qtbot.waitUntil(
        lambda: loaded.session.review is not None and loaded.session.review.path == there,
        timeout=20000,
    )
    qtbot.waitUntil(lambda: not loaded.jobs.running, timeout=60000)
    footage = loaded.session.footage
    assert footage is not None
    assert footage.path == other / "piece" / "recordings" / "piece.mp4"
    assert loaded.session.submission.piece is not None
    assert read_review(there).athlete == "Maren", "what was typed last is in it"


def test_a_spoilt_one_is_one_sentence(bench: MainWindow, tmp_path: Path, qtbot: QtBot) -> None:
    path = tmp_path / "Maren.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("archive.json", '{"strokeside_archive": 1, "files": []}')
        archive.writestr("piece.mp4", b"x")
    bench[IncomingFiles].open([path])
    qtbot.waitUntil(lambda: "Maren.zip" in bench.message_line.text, timeout=20000)
    assert "holds piece.mp4 without saying so" in bench.message_line.text
    assert bench.session.review is None
    assert sorted(p.name for p in tmp_path.glob("Maren*")) == ["Maren.zip"]
