"""What a stroke strip is made of: frames of one stroke, each at its own moment of the curve."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.force.trace import FloatArray
from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import Mark

Image = NDArray[np.uint8]


class StripError(ValueError):
    """A strip that cannot be made. The message is one sentence for the user."""


@dataclass(frozen=True)
class StripFrame:
    """One frame of the stroke.

    Attributes
    ----------
    video_s : when it came on screen, seconds of the film
    percent : the same in percent of the drive; before the catch below 0, after the finish over 100
    place : the even place it stands at, percent; within half a frame of `percent`
    image : (h, w, 3) RGB, cropped alike for all frames of a strip
    marks : what the coach drew on this frame; already in the image
    """

    video_s: float
    percent: float
    place: float
    image: Image
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True)
class StripSpan:
    """A stretch of the drive to shade and to name, in percent of drive time."""

    percent_from: float
    percent_to: float
    words: str = ""


@dataclass(frozen=True)
class StripWords:
    """The fixed words of a strip, so that another language can stand there."""

    catch: str = "catch"
    peak: str = "peak"
    finish: str = "finish"
    own: str = "this stroke"
    mean: str = "mean"
    target: str = "target"
    unit: str = "N"


@dataclass(frozen=True)
class StripSignal:
    """A further signal over the same stroke.

    Attributes
    ----------
    words : title, unit and reach
    shares : (P,) at the percents of the curve, 0 at its lowest to 1 at its highest of the whole
        recording; NaN where it is not known
    dashes : on and off, widths of its line
    """

    words: str
    shares: FloatArray
    dashes: tuple[float, ...]


@dataclass(frozen=True)
class StrokeStrip:
    """A row of frames of one stroke over its force curve.

    Attributes
    ----------
    frames : in order of time; may be empty
    places : the percents that frames were asked for, evenly spaced, ascending
    curve : (P,) percent of drive time, reaching beyond the drive at both ends, and (P,) N; (0,) N
        where no force is known
    mean_n, target_n : (101,) N at 0, 1 ... 100 % of the drive, or None
    marks : what the coach drew on this stroke's curve, by time
    signals : drawn in thin rows under the curve
    second : what a second camera shows at the same places, over the frames; may be empty
    second_words : what stands over those
    peak_n : the peak force that table and text give for the stroke, N, where it was measured: a
        noisy curve reaches a little beyond it
    """

    frames: tuple[StripFrame, ...]
    places: tuple[float, ...]
    curve: tuple[FloatArray, FloatArray]
    mean_n: FloatArray | None = None
    target_n: FloatArray | None = None
    span: StripSpan | None = None
    marks: tuple[CurveMark, ...] = ()
    title: str = ""
    words: StripWords = field(default_factory=StripWords)
    signals: tuple[StripSignal, ...] = ()
    second: tuple[StripFrame, ...] = ()
    second_words: str = ""
    peak_n: float | None = None

    @property
    def has_force(self) -> bool:
        """Whether there is a force curve under the frames."""
        return len(self.curve[1]) > 0

    @property
    def peak(self) -> tuple[float, float]:
        """Percent and N of the highest force of the drive itself, as it was measured."""
        percent, force_n = self.curve
        within = np.flatnonzero((percent >= 0.0) & (percent <= 100.0))
        top = within[int(np.argmax(force_n[within]))]
        return float(percent[top]), float(force_n[top]) if self.peak_n is None else self.peak_n
