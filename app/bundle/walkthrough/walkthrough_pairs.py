"""The comparisons a walkthrough shows: found, opened, and painted as they stood on the bench."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.comparing.curves import CurvePair
from app.bundle.comparing.comparison_curves import curves_of
from app.bundle.comparing.comparison_film import PairFilm, labels_of
from app.bundle.comparing.comparison_paint import Stage
from app.bundle.walkthrough.walkthrough_pair_curve import PairPanel
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.parts.comparisons import Comparison, PairLook
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import COMPARISON
from app.review.recordings import STRANGER, RecordingAccess
from app.review.values.errors import ReviewError
from app.review.walkthrough_scene import View
from app.submission.resolving import Resolved, resolve

DELETED = "A comparison shown in the walkthrough was deleted since; the picture stands alone there."


@dataclass(frozen=True)
class _Pair:
    """One comparison, ready to be painted."""

    film: PairFilm
    sides: tuple[Resolved, Resolved]
    curves: CurvePair | None
    labels: tuple[str, str]

    def laid(self, look: PairLook | None) -> _Pair:
        """The same two strokes laid together as they were when this was shown."""
        film = self.film.laid(look)
        return replace(self, film=film, curves=curves_of(film.comparison, *self.sides))


class Pairs:
    """Opens what views show side by side; use it in a `with` block.

    One that is gone, or whose recordings are, is not in it, and `remarks` says so once.

    Parameters
    ----------
    library : the folder of reference strokes, None where there is none
    piece : the force of the review, cut already
    access : what may be read on this machine
    """

    def __init__(
        self,
        state: ReviewState,
        review_path: Path,
        library: Path | None,
        words: Words,
        cancelled: Callable[[], bool] | None = None,
        access: RecordingAccess = STRANGER,
    ) -> None:
        self._state, self._review_path, self._library = state, review_path, library
        self._words, self._cancelled = words, cancelled
        self._access = access
        self._pairs: dict[tuple[str, PairLook | None], _Pair] = {}
        self._panels: dict[tuple[str, PairLook | None, int, int, int], PairPanel] = {}
        self._open = ExitStack()
        self._failed: set[str] = set()
        self.remarks: list[str] = []

    def __enter__(self) -> Pairs:
        return self

    def __exit__(self, *_how: object) -> None:
        self._open.close()

    def find(self, views: Iterable[View]) -> None:
        """Open every comparison that one of the views shows."""
        by_id = {c.id: c for c in self._state.comparisons}
        for ref in dict.fromkeys(view.ref for view in views if view.what == COMPARISON):
            comparison = by_id.get(ref)
            if comparison is None:
                self.remarks.append(DELETED)
                continue
            try:
                self._pairs[ref, None] = self._opened(comparison)
            except (ReviewError, MediaError) as error:
                self.remarks.append(f"{_named(comparison)} is not shown side by side: {error}")

    def __contains__(self, ref: str) -> bool:
        """Whether a comparison could be opened."""
        return (ref, None) in self._pairs

    def picture(
        self, view: View, video_s: float, room: tuple[int, int]
    ) -> NDArray[np.uint8] | None:
        """Both pictures as they stood on the bench, filling a room; None where none can be made."""
        pair = self._pair(view)
        if pair is None:
            return None
        try:
            frames = pair.film.on_screen(video_s)
            left, right = pair.labels
            if frames[1] is None:
                right = f"{right}: {self._words['walk_no_film']}"
            if frames[0] is None:
                left = f"{left}: {self._words['walk_no_film']}"
            stage = Stage(room, view.zoom)
            return pair.film.on_stage(frames, (left, right), stage, view.turn, view.marks)
        except MediaError as error:
            if view.ref not in self._failed:
                self._failed.add(view.ref)
                self.remarks.append(f"{_named(pair.film.comparison)}: {error}")
            return None

    def panel(self, view: View, width: int, height: int, matrix: int) -> PairPanel | None:
        """Both curves for under the pictures; None where one is not known."""
        pair = self._pair(view) if view.what == COMPARISON else None
        if pair is None or pair.curves is None:
            return None
        key = (view.ref, view.look, width, height, matrix)
        if key not in self._panels:
            self._panels[key] = PairPanel(
                width, height, pair.curves, pair.film.comparison, pair.labels, self._words, matrix
            )
        return self._panels[key]

    def _pair(self, view: View) -> _Pair | None:
        """The comparison of a view as it was laid together then."""
        kept = self._pairs.get((view.ref, None))
        if kept is None:
            return None
        key = (view.ref, view.look)
        if key not in self._pairs:
            self._pairs[key] = kept.laid(view.look)
        return self._pairs[key]

    def _opened(self, comparison: Comparison) -> _Pair:
        if comparison.left.source:
            raise ReviewError("its left stroke is of another recording.")
        left, right = (
            resolve(
                stroke, self._state, self._review_path, self._library, self._cancelled,
                self._access,
            )
            for stroke in (comparison.left, comparison.right)
        )  # fmt: skip
        film = self._open.enter_context(
            PairFilm(comparison, left, right, self._state.sending.skeleton)
        )
        labels = labels_of(comparison, self._words)
        return _Pair(film, (left, right), curves_of(comparison, left, right), labels)


def _named(comparison: Comparison) -> str:
    return f"The comparison “{comparison.title}”" if comparison.title else "A comparison"
