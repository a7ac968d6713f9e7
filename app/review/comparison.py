"""Two strokes side by side: which, on what clock, and how the pictures are laid together."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal

Timing = Literal["phase", "real", "free"]
Layout = Literal["beside", "above", "over"]
TIMINGS: Final = ("phase", "real", "free")
LAYOUTS: Final = ("beside", "above", "over")


@dataclass(frozen=True)
class StrokeRef:
    """One stroke of some recording.

    Attributes
    ----------
    source : "" for the review's own recordings, else the id of a stroke in the library of
        reference strokes, or the path of another review as seen from this one
    catch_s, finish_s, next_catch_s : video seconds of that recording
    label : how the coach calls it, such as "last month"
    """

    source: str
    catch_s: float
    finish_s: float
    next_catch_s: float
    label: str = ""


@dataclass(frozen=True)
class PictureFit:
    """How the right picture is laid over the left one.

    A place of the right picture, mirrored about its own vertical middle where asked, times `scale`
    plus the shift is the place in the left picture (video pixels of the upright source).
    """

    mirrored: bool = False
    scale: float = 1.0
    shift_x_px: float = 0.0
    shift_y_px: float = 0.0


@dataclass(frozen=True)
class Comparison:
    """Two strokes the coach put next to each other.

    Attributes
    ----------
    timing : "phase": catch with catch, finish with finish, next catch with next catch; "real":
        seconds from the catch; "free": seconds from the catch with `shift_s` between them
    shift_s : how much later in its stroke the right picture is, seconds ("free" only)
    opacity : of the right picture where it lies over the left one
    """

    id: str
    left: StrokeRef
    right: StrokeRef
    title: str = ""
    timing: Timing = "phase"
    shift_s: float = 0.0
    layout: Layout = "beside"
    opacity: float = 0.5
    fit: PictureFit = field(default_factory=PictureFit)
