"""Both strokes come when they are asked for, and go when another pair is held together."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import cv2
import numpy as np
import pytest
from PySide6.QtCore import QObject, Signal
from pytestqt.qtbot import QtBot

from app.bundle.sources.last_time import Earlier, LastTime
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.window.features.last_time import two_strips
from app.window.features.last_time.two_strips import NONE, TwoStrips

FILM = MediaRef("video", "v.mp4", 1, "aa")


class Times(QObject):
    """What the strips follow."""

    changed = Signal()
    found: Any = None

    def put(self, state: ReviewState | None) -> None:
        earlier = None if state is None else Earlier(state, Path("a.review"))
        self.found = SimpleNamespace(review_id="now", last=LastTime(earlier=earlier))
        self.changed.emit()


class AtOnce:
    """Does a job where it is asked for."""

    def run(self, _title: str, work: Any, done: Callable[[Any], None], _failed: Any) -> Any:
        done(work(lambda *_: None, lambda: False))
        return SimpleNamespace(cancel=lambda: None)


def png() -> bytes:
    return bytes(cv2.imencode(".png", np.full((50, 700, 3), 90, np.uint8))[1].tobytes())


@pytest.mark.parametrize("made", [(png(), png()), None])
def test_they_come_and_go(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, made: tuple[bytes, bytes] | None
) -> None:
    monkeypatch.setattr(two_strips, "_paint", lambda *_: made)
    times: Any = Times()
    session: Any = SimpleNamespace(submission=SimpleNamespace(video_path=Path("v.mp4")))
    jobs: Any = AtOnce()
    strips = TwoStrips(times, session, jobs)
    qtbot.addWidget(strips)
    assert strips.isHidden(), "nothing is held together yet"
    times.put(ReviewState(review_id="then"))
    assert strips.isHidden(), "last time there was no film"
    times.put(ReviewState(review_id="filmed", video=FILM))
    assert not strips.isHidden() and not strips.show_them.isHidden()
    strips.show_them.click()
    assert strips.show_them.isHidden()
    if made is None:
        assert strips.said.text() == NONE and not strips.said.isHidden()
        assert all(picture.isHidden() for picture in strips.pictures)
    else:
        assert strips.said.isHidden()
        assert all(picture.pixmap().width() >= 200 for picture in strips.pictures)
    times.put(ReviewState(review_id="another", video=FILM))
    assert not strips.show_them.isHidden()
    assert all(picture.isHidden() and picture.pixmap().isNull() for picture in strips.pictures)
