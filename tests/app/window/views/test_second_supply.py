"""Frames of the second picture that come late, early, or for a moment nobody filmed.

What decodes is played by the test, which so says when a frame comes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.media.courier import ShownFrame
from app.media.index import FrameIndex
from app.submission.loaded_film import FilmFacts
from app.window.session.footage import Footage
from app.window.session.playhead import Playhead, Span
from app.window.views.second_supply import SecondSupply

FPS, FRAMES = 10, 30
LATER_S = 1.0  # the second camera began to film this long after the first


class Decoder:
    """A frame server by hand: as with the real one, what is asked for again is not sent again."""

    def __init__(self, _path: Path, on_frame: Callable[[ShownFrame], None], *_: Any, **__: Any):
        self._on_frame = on_frame
        self._newest: tuple[int, ...] = ()
        self.waiting: list[int] = []
        self.running = True

    def request(self, index: int, max_width: int, max_height: int) -> None:
        if (index, max_width, max_height) != self._newest:
            self._newest = (index, max_width, max_height)
            self.waiting = [index]

    def decode(self) -> None:
        """Send what is still to be sent."""
        waiting, self.waiting = self.waiting, []
        for index in waiting:
            self._on_frame(ShownFrame(index, index / FPS, np.zeros((2, 2, 4), np.uint8)))

    def set_playing(self, playing: bool) -> None:
        pass

    def stop(self) -> None:
        self.running = False

    def close(self) -> None:
        self.running = False


@pytest.fixture
def decoders(monkeypatch: pytest.MonkeyPatch) -> list[Decoder]:
    made: list[Decoder] = []

    def make(*given: Any, **named: Any) -> Decoder:
        made.append(Decoder(*given, **named))
        return made[-1]

    monkeypatch.setattr("app.media.server.FrameServer", make)
    return made


@pytest.fixture
def playhead(qtbot: QtBot) -> Playhead:
    playhead = Playhead()
    playhead.set_supplied(True)
    playhead.set_recordings(Span(0.0, LATER_S + FRAMES / FPS), None)
    playhead.arrive(0.0)
    return playhead


@pytest.fixture
def second(playhead: Playhead, decoders: list[Decoder]) -> Iterator[SecondSupply]:
    supply = SecondSupply(playhead)
    supply.set_footage(filmed())
    supply.set_clock(None, lambda left_s: left_s - LATER_S)
    yield supply
    supply.close()


@pytest.fixture
def shown(second: SecondSupply) -> list[int | None]:
    """The numbers of the frames shown, None where it said that there is none."""
    told: list[int | None] = []
    second.frame_ready.connect(lambda frame: told.append(None if frame is None else frame.index))
    return told


def filmed() -> Footage:
    time_s = np.arange(FRAMES) / FPS
    index = FrameIndex(
        time_s, np.arange(FRAMES), np.ones(FRAMES, bool), Fraction(1, FPS), FRAMES / FPS
    )
    facts = FilmFacts(FRAMES / FPS, float(FPS), 64, 36, has_sound=False)
    return Footage(Path("second.mp4"), facts, index)


def go(playhead: Playhead, time_s: float) -> None:
    """Ask for a moment; the first picture is there at once."""
    playhead.seek(time_s)
    playhead.arrive(playhead.wanted_s)


def test_a_frame_that_comes_while_nobody_filmed_is_shown_when_its_moment_is_asked_for_again(
    second: SecondSupply, decoders: list[Decoder], playhead: Playhead, shown: list[int | None]
) -> None:
    go(playhead, LATER_S + 0.5)
    go(playhead, 0.0)  # before the second camera ran
    decoders[-1].decode()
    assert shown[-1] is None
    go(playhead, LATER_S + 0.5)
    decoders[-1].decode()
    assert shown[-1] == 5


def test_a_frame_shown_before_is_shown_again_after_a_moment_nobody_filmed(
    second: SecondSupply, decoders: list[Decoder], playhead: Playhead, shown: list[int | None]
) -> None:
    go(playhead, LATER_S + 0.5)
    decoders[-1].decode()
    assert shown[-1] == 5
    go(playhead, 0.0)
    assert shown[-1] is None
    go(playhead, LATER_S + 0.5)
    decoders[-1].decode()
    assert shown[-1] == 5


def test_a_frame_that_is_ready_first_waits_for_the_first_picture(
    second: SecondSupply, decoders: list[Decoder], playhead: Playhead, shown: list[int | None]
) -> None:
    playhead.seek(LATER_S + 0.5)
    decoders[-1].decode()
    assert 5 not in shown
    playhead.arrive(playhead.wanted_s)
    assert shown[-1] == 5


def test_a_frame_of_footage_that_was_put_away_is_not_shown(
    second: SecondSupply, decoders: list[Decoder], playhead: Playhead, shown: list[int | None]
) -> None:
    go(playhead, LATER_S + 0.5)
    before = decoders[-1]
    second.set_footage(filmed())
    before.decode()
    assert 5 not in shown
    assert not before.running
