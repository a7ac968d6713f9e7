"""How the strokes of the library look: a small picture and the curve of each, found in a job."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage

from app.review.references import KeptReference
from app.review.values.errors import ReviewError
from app.submission.resolving import Resolved, resolve
from app.window.session.known_recordings import access
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress

PICTURE_PX = 640  # the longer side that is decoded; shown smaller, also on a fine screen
CURVE_POINTS = 64


@dataclass(frozen=True, eq=False)
class Look:
    """What a list shows of a stroke.

    Attributes
    ----------
    picture_bgra : (h, w, 4) its frame at the catch, turned as its review says; None without
    curve_n : (CURVE_POINTS,) handle force over the drive's time, newtons; None where not known
    """

    picture_bgra: NDArray[np.uint8] | None = None
    curve_n: NDArray[np.float64] | None = None

    def image(self) -> QImage | None:
        """The picture for a painter; it borrows the look's memory."""
        if self.picture_bgra is None:
            return None
        high, wide = self.picture_bgra.shape[:2]
        return QImage(self.picture_bgra.data, wide, high, 4 * wide, QImage.Format.Format_RGB32)


class Looks(QObject):
    """Looks at strokes one after another, and tells of each as soon as it is seen."""

    came = Signal(str)  # id of a stroke whose look is known now

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._job: Job | None = None
        self._known: dict[str, Look] = {}

    def of(self, reference_id: str) -> Look | None:
        """The look of a stroke; None while it was not looked at."""
        return self._known.get(reference_id)

    def find(self, strokes: tuple[KeptReference, ...]) -> None:
        """Look at those that are not known yet."""
        self.stop()
        wanted = tuple(kept for kept in strokes if kept.id not in self._known)
        if not wanted:
            return

        def work(progress: Progress, cancelled: Cancelled) -> None:
            for i, kept in enumerate(wanted):
                if cancelled():
                    return
                progress(i / len(wanted), "")
                look = look_at(kept)
                self._known[kept.id] = look
                with contextlib.suppress(RuntimeError):  # the window may be gone by now
                    self.came.emit(kept.id)

        # A look that cannot be had is an empty one; nothing here refuses.
        self._job = self._jobs.run("Looking at the references", work, self._end, self._end)

    def stop(self) -> None:
        """Look at no more."""
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def _end(self, _how: object) -> None:
        self._job = None


def look_at(kept: KeptReference) -> Look:
    """Find picture and curve of a stroke; what is missing or damaged is not in it."""
    try:
        found = resolve(kept.stroke, kept.state, kept.path, kept.path.parent, access=access())
    except ReviewError:
        return Look()
    return Look(_picture(found), _curve(found))


def _picture(found: Resolved) -> NDArray[np.uint8] | None:
    from app.bundle.sources.film import open_film
    from app.media.errors import MediaError
    from app.media.light import lifted
    from app.media.orientation import Turn

    if found.video is None:
        return None
    try:
        with open_film(found.video, found.state) as film:
            at = film.index.at(found.stroke.catch_s)
            image = film.frame_bgra(at, PICTURE_PX, PICTURE_PX)
    except (MediaError, OSError):
        return None
    turn = Turn(found.turn.quarter_turns % 4, found.turn.mirrored)
    return np.ascontiguousarray(lifted(turn.apply(image), found.turn.lift))


def _curve(found: Resolved) -> NDArray[np.float64] | None:
    piece, stroke = found.piece, found.force_stroke
    if piece is None or stroke is None:
        return None
    time_s = np.linspace(stroke.catch_s, stroke.finish_s, CURVE_POINTS)
    force_n = np.interp(time_s, piece.trace.time_s, piece.trace.force_n)
    return np.maximum(force_n, 0.0)
