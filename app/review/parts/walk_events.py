"""What happens in a walkthrough, event by event, on the clock of its own sound."""

from __future__ import annotations

import bisect
import math
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from app.review.parts.comparisons import PairLook, check_look
from app.review.parts.marks import Mark, check_marks, stretched
from app.review.values.errors import ReviewError

# What may stand in the picture's place, with what its reference names.
PICTURE: Final = "picture"
STRIP: Final = "strip"  # the index of a stroke
COMPARISON: Final = "comparison"  # the id of a comparison
# While time runs, the moment shown is that of the run's own even line. A screen that fell farther
# behind than this is shown as it was.
HICCUP_S: Final = 0.1


@dataclass(frozen=True)
class Moved:
    """The picture of this moment of the film came on screen."""

    at_s: float
    video_s: float


@dataclass(frozen=True)
class Ran:
    """From here time runs: film seconds a second, below 0 backwards, 0 stands still."""

    at_s: float
    video_s: float
    rate: float


@dataclass(frozen=True)
class MarkDrawn:
    """A mark appeared, or was changed into this."""

    at_s: float
    mark: Mark


@dataclass(frozen=True)
class MarkGone:
    """A mark was taken away."""

    at_s: float
    mark_id: str


@dataclass(frozen=True)
class Turned:
    """The picture was turned, mirrored or lifted (see `PictureTurn`)."""

    at_s: float
    quarter_turns: int
    mirrored: bool
    lift: float


@dataclass(frozen=True)
class Zoomed:
    """The picture was zoomed: `factor` 1 is all of it; `x`, `y` (0-1) stand in the middle."""

    at_s: float
    factor: float
    x: float
    y: float


@dataclass(frozen=True)
class CurveShown:
    """The force curve under the picture was shown, or put away."""

    at_s: float
    on: bool


@dataclass(frozen=True)
class Shown:
    """What stands in the picture's place: PICTURE, STRIP or COMPARISON, and which."""

    at_s: float
    what: str
    ref: str = ""


@dataclass(frozen=True)
class Laid:
    """The comparison on screen was laid together like this.

    A recording made before there were such events has none: it shows the comparison as it is in
    the review.
    """

    at_s: float
    look: PairLook


Event = Moved | Ran | MarkDrawn | MarkGone | Turned | Zoomed | CurveShown | Shown | Laid


class Score:
    """The events of a walkthrough, in order of time.

    Made once and never changed; it has an id of its own so that a file need not write thousands
    of events anew with every letter that is typed. It is no collection, so that checks of a state
    pass it by; `check_score` is asked when it is made.
    """

    __slots__ = ("_times", "events", "id")

    def __init__(self, events: Iterable[Event], score_id: str = "") -> None:
        self.events: tuple[Event, ...] = tuple(sorted(events, key=lambda event: event.at_s))
        self.id = score_id or uuid.uuid4().hex
        self._times = [event.at_s for event in self.events]

    def until(self, at_s: float) -> tuple[Event, ...]:
        """The events up to a moment of the recording."""
        return self.events[: bisect.bisect_right(self._times, at_s)]

    def __eq__(self, other: object) -> bool:
        """Whether two hold the same events under the same id."""
        if not isinstance(other, Score):
            return NotImplemented
        return self is other or (self.id == other.id and self.events == other.events)

    def __hash__(self) -> int:
        """By the id."""
        return hash(self.id)

    def __repr__(self) -> str:
        """Say how many there are; all of them would fill a screen."""
        return f"Score({len(self.events)} events, {self.id!r})"


def stretched_event(event: Event, by: float) -> Event:
    """The event of a film on another clock: `by` new seconds for each old one."""
    if isinstance(event, Moved):
        return replace(event, video_s=event.video_s * by)
    if isinstance(event, Ran):
        return replace(event, video_s=event.video_s * by, rate=event.rate * by)
    if isinstance(event, MarkDrawn):
        return replace(event, mark=stretched((event.mark,), by)[0])
    return event


def check_score(score: Score) -> None:
    """Refuse events that could not be shown; raises ReviewError."""
    for event in score.events:
        if not math.isfinite(event.at_s):
            raise ReviewError("An event of a walkthrough has no time.")
        if isinstance(event, Moved | Ran) and not math.isfinite(event.video_s):
            raise ReviewError("A walkthrough shows a moment that is none.")
        if isinstance(event, Ran) and not math.isfinite(event.rate):
            raise ReviewError("A walkthrough runs at no speed.")
        if isinstance(event, Turned) and event.quarter_turns not in (0, 1, 2, 3):
            raise ReviewError("The picture can be turned by 0 to 3 quarter turns.")
        if isinstance(event, Zoomed) and not event.factor >= 1.0:
            raise ReviewError("A picture is zoomed by 1 or more.")
        if isinstance(event, MarkDrawn):
            check_marks((event.mark,), None)
        if isinstance(event, Laid):
            check_look(event.look)
