"""A walkthrough: what the coach showed and said, as events on the clock of its own sound.

Nothing of the screen is stored. What was shown follows from the events, so that a slip can be cut
out, a mark corrected, and the whole painted afterwards from the film itself.
"""

from __future__ import annotations

import bisect
import math
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from app.review.comparison import PairLook, check_look
from app.review.errors import ReviewError
from app.review.marks import Mark, check_marks, stretched

# What may stand in the picture's place, with what its reference names.
PICTURE: Final = "picture"
STRIP: Final = "strip"  # the index of a stroke
COMPARISON: Final = "comparison"  # the id of a comparison
# While time runs, the moment shown is that of the run's own even line. A screen that fell farther
# behind than this is shown as it was.
HICCUP_S: Final = 0.1
# A cut or a caption shorter than this is a slip of the hand.
SHORTEST_S: Final = 0.05


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


@dataclass(frozen=True)
class Cut:
    """A slip: these seconds of the recording are neither seen nor heard."""

    from_s: float
    to_s: float


@dataclass(frozen=True)
class Caption:
    """Typed words for a span of the recording, in its own seconds, so that cuts move them along."""

    id: str
    from_s: float
    to_s: float
    text: str


@dataclass(frozen=True)
class Walkthrough:
    """What the coach showed and said, once.

    Attributes
    ----------
    score : what was shown when
    length_s : seconds recorded
    sound_id : its voice among the file's sounds, "" for a silent one
    sample_hz : samples a second of the voice
    cuts : what is left out, in order of time; cuts may overlap
    captions : in order of time
    left_out : ids of marks that were drawn but shall not be seen
    """

    id: str
    title: str
    score: Score
    length_s: float
    sound_id: str = ""
    sample_hz: int = 48_000
    cuts: tuple[Cut, ...] = ()
    captions: tuple[Caption, ...] = ()
    left_out: tuple[str, ...] = ()


def new_walkthrough(
    events: Iterable[Event], length_s: float, sound_id: str = "", title: str = "", walk_id: str = ""
) -> Walkthrough:
    """Return a walkthrough with an id of its own."""
    return Walkthrough(walk_id or uuid.uuid4().hex, title, Score(events), length_s, sound_id)


class Timing:
    """The clock of what is left after the cuts, and the recording's own.

    Attributes
    ----------
    spans : what is kept of the recording, seconds, in order
    length_s : how long that lasts
    """

    def __init__(self, length_s: float, cuts: Iterable[Cut]) -> None:
        spans, at = [], 0.0
        for cut in sorted(cuts, key=lambda c: (c.from_s, c.to_s)):
            if min(cut.from_s, length_s) > at:
                spans.append((at, min(cut.from_s, length_s)))
            at = max(at, cut.to_s)
        if at < length_s:
            spans.append((at, length_s))
        self.spans: tuple[tuple[float, float], ...] = tuple(spans)
        self._starts = [0.0]
        for first, last in self.spans:
            self._starts.append(self._starts[-1] + last - first)
        self.length_s = self._starts[-1]

    def to_recording(self, out_s: float) -> float:
        """Seconds of the recording that are heard at a moment of what is left."""
        if not self.spans:
            return 0.0
        i = min(max(bisect.bisect_right(self._starts, out_s) - 1, 0), len(self.spans) - 1)
        first, last = self.spans[i]
        return min(max(first + out_s - self._starts[i], first), last)

    def to_output(self, recording_s: float) -> float:
        """When a moment of the recording is heard; one cut away: when what follows it is."""
        for (first, last), start in zip(self.spans, self._starts, strict=False):
            if recording_s < last:
                return start + max(recording_s - first, 0.0)
        return self.length_s


def timing_of(walk: Walkthrough) -> Timing:
    """Return the clock of what is left of a walkthrough."""
    return Timing(walk.length_s, walk.cuts)


def shown_captions(walk: Walkthrough) -> tuple[Caption, ...]:
    """The captions in seconds of what is left; one that is wholly cut away is not among them."""
    timing = timing_of(walk)
    moved = (
        replace(c, from_s=timing.to_output(c.from_s), to_s=timing.to_output(c.to_s))
        for c in walk.captions
    )
    return tuple(c for c in moved if c.to_s - c.from_s >= SHORTEST_S and c.text.strip())


def shown_comparisons(walk: Walkthrough) -> tuple[str, ...]:
    """Ids of the comparisons that are seen in what is left of a walkthrough, each once."""
    shown = [event for event in walk.score.events if isinstance(event, Shown)]
    ends_s = [event.at_s for event in shown[1:]] + [walk.length_s]
    spans = timing_of(walk).spans
    seen: dict[str, None] = {}
    for event, end_s in zip(shown, ends_s, strict=False):
        if event.what == COMPARISON and any(a < end_s and event.at_s < b for a, b in spans):
            seen[event.ref] = None
    return tuple(seen)


def stretched_walks(walks: tuple[Walkthrough, ...], by: float) -> tuple[Walkthrough, ...]:
    """The same walkthroughs of a film on another clock: `by` new seconds for each old one."""
    return tuple(
        replace(walk, score=Score(_stretched(event, by) for event in walk.score.events))
        for walk in walks
    )


def _stretched(event: Event, by: float) -> Event:
    if isinstance(event, Moved):
        return replace(event, video_s=event.video_s * by)
    if isinstance(event, Ran):
        return replace(event, video_s=event.video_s * by, rate=event.rate * by)
    if isinstance(event, MarkDrawn):
        return replace(event, mark=stretched((event.mark,), by)[0])
    return event


def check_walkthroughs(walks: tuple[Walkthrough, ...]) -> None:
    """Refuse walkthroughs that could not be shown.

    Raises
    ------
    ReviewError
        Two share an id, one has no length, or a cut or caption that ends before it starts.
    """
    if len({walk.id for walk in walks}) != len(walks):
        raise ReviewError("Two walkthroughs share one id.")
    for walk in walks:
        if not walk.length_s > 0.0 or walk.sample_hz <= 0:
            raise ReviewError("A walkthrough lasts longer than nothing.")
        spans = [(c.from_s, c.to_s) for c in walk.cuts]
        spans += [(c.from_s, c.to_s) for c in walk.captions]
        for first, last in spans:
            if not first < last:
                raise ReviewError("A cut or a caption ends after it starts.")
        if len({c.id for c in walk.captions}) != len(walk.captions):
            raise ReviewError("Two captions share one id.")


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
