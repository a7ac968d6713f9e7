"""A .zip dropped on the window is unpacked beside itself and opened like a folder."""

from __future__ import annotations

import zipfile
from pathlib import Path

from pytestqt.qtbot import QtBot

from app.window.main_window import MainWindow
from app.window.session.incoming_files import IncomingFiles


def test_a_packed_submission_opens(bench: MainWindow, submission: Path, qtbot: QtBot) -> None:
    path = submission / "from Maren.zip"
    with zipfile.ZipFile(path, "w") as archive:
        for name in ("piece.mp4", "piece.csv"):
            archive.write(submission / name, f"Maren/{name}")
    bench[IncomingFiles].open([path])
    qtbot.waitUntil(lambda: bench.session.footage is not None, timeout=20000)
    assert bench.session.submission.piece is not None
    review = bench.session.review
    assert review is not None and review.path == submission / "from Maren" / "piece.review"
    qtbot.waitUntil(lambda: not bench.jobs.running, timeout=20000)


def test_one_without_recordings_is_refused(
    bench: MainWindow, submission: Path, qtbot: QtBot
) -> None:
    path = submission / "papers.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("letter.pdf", "x")
    bench[IncomingFiles].open([path])
    qtbot.waitUntil(lambda: "papers.zip" in bench.message_line.text, timeout=20000)
    assert "no table" in bench.message_line.text
    assert not (submission / "papers").exists()
