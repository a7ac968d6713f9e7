"""The curves of the two strokes on screen: which, on what axis, and how far each of them is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from PySide6.QtCore import QObject, Signal

from analysis.comparing.curves import PAIR_AXES, PairAxis
from app.submission.rowed_stroke import RowedStroke, pair_of
from app.window.features.comparing.comparing import Comparing
from app.window.features.comparing.pair_view import PairView
from app.window.session.other_recordings import Recording, Same
from app.window.session.playhead import Playhead

if TYPE_CHECKING:
    from analysis.comparing.curves import CurvePair
    from analysis.force.trace import FloatArray
    from app.review.values.stroke_ref import StrokeRef

NO_HANDLE = "One of the two has no handle position to draw its curve over."
NOTHING_SHARED = "The two strokes have no force both, and nothing of the picture that is alike."
UNITS: dict[PairAxis, str] = {"time": "s", "length": "m", "percent": "%"}


@dataclass(frozen=True)
class Course:
    """How far a drive is along its axis at each instant, on its recording's video clock."""

    video_s: FloatArray
    along: FloatArray

    def at(self, video_s: float) -> float | None:
        """The place on the axis at a moment; None outside the drive."""
        if not self.video_s[0] <= video_s <= self.video_s[-1]:
            return None
        return float(np.interp(video_s, self.video_s, self.along))

    def moment(self, along: float) -> float:
        """The moment of a place on the axis, video seconds."""
        return float(np.interp(along, self.along, self.video_s))


class PairCurves(QObject):
    """Fills the view of both curves, and moves its lines with the playhead."""

    changed = Signal()

    def __init__(
        self, comparing: Comparing, playhead: Playhead, view: PairView, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._comparing, self._playhead, self._view = comparing, playhead, view
        self._axis: PairAxis = "time"
        self._made_of: object = None
        self._courses: tuple[Course | None, Course | None] = (None, None)
        self.pair: CurvePair | None = None
        # Both strokes with what they were rowed in; None where one is not known.
        self.rowed: tuple[RowedStroke, RowedStroke] | None = None
        self.words = ""  # why there is no curve, or what the largest difference is
        comparing.changed.connect(self._renew)
        playhead.moved.connect(self._follow)
        view.along_wanted.connect(self._go)

    @property
    def axis(self) -> PairAxis:
        """What the curves are drawn over."""
        return self._axis

    def set_axis(self, axis: PairAxis) -> None:
        """Draw the curves over time, length or percent of the drive."""
        if axis != self._axis:
            self._axis = axis
            self._made_of = None
            self._renew()

    def next_axis(self) -> None:
        """Go round the axes."""
        self.set_axis(PAIR_AXES[(PAIR_AXES.index(self._axis) + 1) % len(PAIR_AXES)])

    def _renew(self) -> None:
        comparison, right = self._comparing.selected, self._comparing.right
        left = self._comparing.left
        made_of = (
            comparison and (comparison.left, comparison.right),
            left.state.alignment,
            # Held, not only compared, so that no other piece can come by the same identity.
            Same(left.submission.rowed),
            Same(right.submission.rowed if right is not None else None),
        )
        if made_of == self._made_of and comparison is not None:
            self._follow(self._playhead.time_s)
            return
        self._made_of = made_of
        self.pair, self._courses, self.rowed = None, (None, None), None
        if comparison is None or right is None:
            self.words = ""
        else:
            self._lay_over((left, comparison.left), (right, comparison.right))
        self._view.show_pair(self.pair)
        self._follow(self._playhead.time_s)
        self.changed.emit()

    def _lay_over(
        self, left: tuple[Recording, StrokeRef], right: tuple[Recording, StrokeRef]
    ) -> None:
        rowed = [recording.rowed(ref) for recording, ref in (left, right)]
        if rowed[0] is None or rowed[1] is None:
            side, (recording, _ref) = ("left", left) if rowed[0] is None else ("right", right)
            self.words = _no_curve(side, recording)
            return
        self.rowed = (rowed[0], rowed[1])
        one, other = self.rowed
        self.pair = pair_of(one, other, self._axis)
        if self.pair is None:
            self.words = NO_HANDLE if self._axis == "length" else NOTHING_SHARED
            return
        self._courses = (
            _course(left[0], one, self._axis),
            _course(right[0], other, self._axis),
        )
        self.words = _largest(self.pair)

    def _follow(self, time_s: float) -> None:
        if self.pair is None:
            self._view.set_along(None, None)
            return
        left, right = self._courses
        right_s = self._comparing.right_s(time_s)
        self._view.set_along(
            None if left is None else left.at(time_s),
            None if right is None or right_s is None else right.at(right_s),
        )

    def _go(self, along: float) -> None:
        left = self._courses[0]
        if left is not None:
            self._playhead.seek(left.moment(along))


def _course(recording: Recording, rowed: RowedStroke, axis: PairAxis) -> Course | None:
    kind: Literal["time", "length"] = "length" if axis == "length" else "time"
    found = rowed.course(kind)
    if found is None:
        return None
    trace_s, along = found
    video_s = np.array([recording.video_s(float(t)) for t in trace_s])
    return Course(video_s, 100.0 * along / along[-1] if axis == "percent" else along)


def _no_curve(side: str, recording: Recording) -> str:
    """Why a side has no curve, and what to do."""
    if recording.submission.rowed is None:
        return (
            f"The {side} stroke has no force; add its force file, or follow the body in its"
            " footage, to compare curves."
        )
    if not (recording.submission.from_picture or recording.is_lined_up):
        return (
            f"Footage and force of the {side} stroke are not lined up; line them up to"
            " compare curves."
        )
    return f"No stroke that is known is where the {side} stroke is seen."


def _largest(pair: CurvePair) -> str:
    largest = pair.largest
    if largest is None:
        return ""
    along, apart = largest
    more = "more" if apart > 0 else "less"
    digits = {"time": 2, "length": 2, "percent": 0}[pair.axis]
    size = f"{abs(apart):.0f} N" if pair.is_force else f"{abs(apart):.2f} {pair.unit}"
    return f"Right {size} {more} at {along:.{digits}f} {UNITS[pair.axis]}"
