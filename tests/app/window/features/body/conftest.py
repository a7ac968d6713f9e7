"""The features these tests need, and a film in which somebody is followed at once."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from analysis.body.following.follow import Followed
from analysis.body.track import POINTS, BodyTrack, Click
from app.body import joining
from app.window.actions.feature import Feature
from app.window.features.body.feature import BodyFeature
from app.window.features.findings.feature import FindingsFeature
from app.window.features.footage.feature import FootageFeature
from app.window.features.review_file.feature import ReviewFileFeature
from app.window.main_window import MainWindow
from samples.camera import Camera
from tests.app.window.conftest import open_and_wait
from tests.helpers.followed import followed_as, track_of
from tests.helpers.rowed import rowed

FRAMES = 200


@pytest.fixture
def features() -> tuple[type[Feature], ...]:
    """No more than is spoken of here."""
    return (ReviewFileFeature, FindingsFeature, FootageFeature, BodyFeature)


def short_track() -> BodyTrack:
    """Points for as many frames as the clip has; the ankle is not known in the last ones."""
    track = track_of(rowed(strokes=5), 0.002, 0.004, camera=Camera(320, 180))
    xy, sd = track.xy_px[:FRAMES].copy(), track.sd_px[:FRAMES].copy()
    ankle = POINTS.index("ankle")
    xy[-20:, ankle], sd[-20:, ankle] = np.nan, np.nan
    source = track.source[:FRAMES].copy()
    source[-20:, ankle] = 0
    return replace(
        track, time_s=track.time_s[:FRAMES], xy_px=xy, sd_px=sd, source=source, steady=None
    )  # fmt: skip


class Follower:
    """Follows at once; says what it is told to say instead, once."""

    def __init__(self) -> None:
        self.pointed: list[tuple[Click, ...]] = []
        self.says: list[Exception] = []

    def __call__(
        self, path: Path, pointed: Sequence[Click], cancelled: Callable[[], bool],
        progress: Callable[[float], None],
    ) -> Followed:  # fmt: skip
        self.pointed.append(tuple(pointed))
        progress(0.5)
        if self.says:
            raise self.says.pop()
        return followed_as(short_track())


@pytest.fixture
def follower(monkeypatch: pytest.MonkeyPatch) -> Follower:
    """What follows bodies, in this process and at once."""
    fake = Follower()
    monkeypatch.setattr(joining, "follower", lambda: fake)
    return fake


@pytest.fixture
def film(
    bench: MainWindow, submission: Path, qtbot: QtBot, follower: Follower,
    monkeypatch: pytest.MonkeyPatch,
) -> MainWindow:  # fmt: skip
    """A bench with a film alone, whose work in children is done here."""
    open_and_wait(bench, qtbot, submission / "piece.mp4")

    def call(
        function: str, args: tuple[Any, ...], progress: Callable[[float, str], None],
        cancelled: Callable[[], bool],
    ) -> Any:  # fmt: skip
        module, _, name = function.partition(":")
        return getattr(importlib.import_module(module), name)(*args, progress)

    monkeypatch.setattr(bench.jobs.process_pool, "call", call)
    return bench
