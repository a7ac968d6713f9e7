"""Pictures of a film taken while a clip of it is cut, so that nothing is decoded twice."""

from __future__ import annotations

import contextlib
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.media.index import FrameIndex
from app.media.video import VideoFile

Image = NDArray[np.uint8]


class Frames(Protocol):
    """What stills and strips take their pictures from: a film, or glances of one."""

    @property
    def index(self) -> FrameIndex:
        """Presentation times."""

    @property
    def duration_s(self) -> float:
        """How long it is."""

    @property
    def width(self) -> int:
        """Of the upright picture, pixels."""

    @property
    def height(self) -> int:
        """Of the upright picture, pixels."""

    def frame_bgra(self, i: int, max_width: int, max_height: int) -> Image:
        """Frame `i`, within a box."""


class Glances:
    """Frames of an open film, those wished for kept from when they passed."""

    def __init__(self, film: VideoFile) -> None:
        self._film = film
        self._wished: dict[int, set[int]] = {}
        self._kept: dict[tuple[int, int], Image] = {}

    @property
    def index(self) -> FrameIndex:
        """Presentation times of the film."""
        return self._film.index

    @property
    def duration_s(self) -> float:
        """How long the film is."""
        return self._film.duration_s

    @property
    def width(self) -> int:
        """Of the upright picture, pixels."""
        return self._film.width

    @property
    def height(self) -> int:
        """Of the upright picture, pixels."""
        return self._film.height

    def wish(self, i: int, box_px: int) -> None:
        """Keep frame `i` when it passes, no side longer than `box_px`."""
        self._wished.setdefault(i, set()).add(box_px)

    def passing(self, i: int) -> None:
        """Say that frame `i` is at hand."""
        for box_px in self._wished.pop(i, ()):
            self._kept[i, box_px] = self._film.frame_bgra(i, box_px, box_px)

    def catch_up(self) -> None:
        """Take the frames wished for that did not pass, in order, so that none is decoded twice."""
        for i in sorted(self._wished):
            with contextlib.suppress(MediaError):  # it is told where the picture is wanted
                self.passing(i)

    def frame_bgra(self, i: int, max_width: int, max_height: int) -> Image:
        """Give a frame, kept or not; a copy that may be painted on."""
        kept = self._kept.get((i, max_width)) if max_width == max_height else None
        return self._film.frame_bgra(i, max_width, max_height) if kept is None else kept.copy()

    def forget(self) -> None:
        """Let go of what was kept."""
        self._wished.clear()
        self._kept.clear()
