"""Where a moment of the footage stands within the strokes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from analysis.clocks.alignment import Alignment
from analysis.force.curves import Axis, drive_axis
from app.window.session.playhead import Span

if TYPE_CHECKING:
    from analysis.force.trace import FloatArray, ForceTrace
    from analysis.signals.stroke import Stroke

# A catch this close before the moment counts as reached: half a frame at 120 per second.
NEAR_S = 0.004


class StrokeClock:
    """Strokes on the video clock.

    Parameters
    ----------
    strokes : on the trace's clock, or where they are from the picture on the footage's
    alignment : how that clock stands to the video's
    trace : the force they were found in; None where they are from the picture
    """

    def __init__(
        self, strokes: Sequence[Stroke], alignment: Alignment, trace: ForceTrace | None = None
    ) -> None:
        # Beyond a cut nobody knows which stroke the film shows: there is none there to step to.
        self.strokes = tuple(s for s in strokes if alignment.shown(s.catch_s) is not None)
        self._alignment = alignment
        self._trace = trace
        self.catches_s = np.array([alignment.video_time(s.catch_s) for s in self.strokes])
        self.finishes_s = np.array([alignment.video_time(s.finish_s) for s in self.strokes])

    @property
    def is_from_picture(self) -> bool:
        """Whether the hands were seen to turn, rather than the force to come."""
        return self._trace is None

    def stroke_at(self, video_s: float) -> Stroke | None:
        """The stroke whose catch was last; the first one before that; None without strokes."""
        if not len(self.catches_s) or not self._alignment.holds(video_s):
            return None
        i = int(np.searchsorted(self.catches_s, video_s + NEAR_S, side="right")) - 1
        return self.strokes[max(i, 0)]

    def span_of(self, stroke: Stroke) -> Span:
        """Catch to next catch in video seconds; to twice the drive where no catch follows."""
        start = self._alignment.video_time(stroke.catch_s)
        end = stroke.next_catch_s or stroke.catch_s + 2.0 * (stroke.finish_s - stroke.catch_s)
        return Span(start, self._alignment.video_time(end))

    def next_after(self, video_s: float, of: str = "catch") -> float | None:
        """The next catch (or "finish") after a moment, in video seconds."""
        times = self.catches_s if of == "catch" else self.finishes_s
        i = int(np.searchsorted(times, video_s + NEAR_S, side="right"))
        return float(times[i]) if i < len(times) else None

    def last_before(self, video_s: float, frame_s: float, of: str = "catch") -> float | None:
        """The catch (or "finish") before a moment.

        A catch within the frame now shown is where the coach stands already, not one before.
        """
        times = self.catches_s if of == "catch" else self.finishes_s
        i = int(np.searchsorted(times, video_s - NEAR_S, side="left")) - 1
        if i >= 0 and video_s - times[i] < frame_s:
            i -= 1
        return float(times[i]) if i >= 0 else None

    def percent_at(self, stroke: Stroke, video_s: float, axis: Axis) -> float | None:
        """How far the drive is at a moment, in percent of its axis; None outside the drive."""
        trace_s = self._alignment.trace_time(video_s)
        along = self._along(stroke, axis)
        if not self._alignment.holds(video_s):
            return None
        if along is None or not stroke.catch_s - NEAR_S <= trace_s <= stroke.finish_s + NEAR_S:
            return None
        time_s, where = along
        return float(100.0 * np.interp(trace_s, time_s, where) / where[-1])

    def moment_of(self, stroke: Stroke, percent: float, axis: Axis) -> float | None:
        """Video seconds at a percent of a drive."""
        along = self._along(stroke, axis)
        if along is None:
            return None
        time_s, where = along
        share = min(max(percent, 0.0), 100.0) / 100.0
        return self._alignment.video_time(float(np.interp(share * where[-1], where, time_s)))

    def _along(self, stroke: Stroke, axis: Axis) -> tuple[FloatArray, FloatArray] | None:
        """How far the drive is; without a force only time tells."""
        if self._trace is not None:
            return drive_axis(self._trace, stroke, axis)
        if axis != "time" or stroke.finish_s <= stroke.catch_s:
            return None
        time_s = np.array([stroke.catch_s, stroke.finish_s])
        return time_s, time_s - stroke.catch_s
