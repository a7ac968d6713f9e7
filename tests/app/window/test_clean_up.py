"""The window tidies at its start and beside each review it opens, in a thread of its own."""

from __future__ import annotations

import os
from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QObject, Signal

from app.window import clean_up as module
from app.window.session.settings import default_path


class FakeDesk(QObject):
    opened = Signal()
    review: SimpleNamespace | None = None


def test_at_the_start_and_beside_what_is_opened(
    qapp: object, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = default_path().with_name(".settingsabcdefg1")
    left.parent.mkdir(parents=True)
    left.touch()
    os.utime(left, (1.0, 1.0))
    session = FakeDesk()
    module.clean_up(session).join()
    assert not left.exists()
    asked: list[Path] = []
    monkeypatch.setattr(module, "_tidy_beside", asked.append)
    monkeypatch.setattr(module, "_aside", lambda work: work())
    session.opened.emit()
    session.review = SimpleNamespace(path=tmp_path / "a.review")
    session.opened.emit()
    assert asked == [tmp_path / "a.review"]
