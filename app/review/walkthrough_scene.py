"""What stood on screen at any moment of a walkthrough."""

from __future__ import annotations

import bisect
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from app.review.parts.comparisons import PairLook
from app.review.parts.marks import Mark
from app.review.parts.picture import PictureTurn
from app.review.parts.walk_events import (
    HICCUP_S,
    PICTURE,
    CurveShown,
    Event,
    Laid,
    MarkDrawn,
    MarkGone,
    Moved,
    Ran,
    Shown,
    Turned,
    Zoomed,
)
from app.review.parts.walkthroughs import Walkthrough


@dataclass(frozen=True)
class View:
    """Everything on screen but the moment.

    Attributes
    ----------
    marks : those drawn so far, the later over the earlier; each stands on its own frames only
    zoom : factor, and the place (0-1) of the turned picture in the middle
    what, ref : what stands in the picture's place, and which
    look : how a comparison is laid together, None for as it is in the review
    """

    turn: PictureTurn = field(default_factory=PictureTurn)
    zoom: tuple[float, float, float] = (1.0, 0.5, 0.5)
    curve: bool = True
    what: str = PICTURE
    ref: str = ""
    look: PairLook | None = None
    marks: tuple[Mark, ...] = ()


class Scenes:
    """Answers what was shown when.

    A mark is shown as it is in the review now where this is its last form in the walkthrough, so
    that one correction reaches both; earlier forms stay as they were recorded, because the words
    spoken belong to them. A mark that was deleted since is shown as recorded: tidying up the
    frames after talking must not hollow out what was said. `left_out` takes one away for good.

    Parameters
    ----------
    marks_now : the review's marks as they are
    """

    def __init__(self, walk: Walkthrough, marks_now: Iterable[Mark] = ()) -> None:
        events = _corrected(walk.score.events, {m.id: m for m in marks_now}, set(walk.left_out))
        self._moved_at: list[float] = []
        self._moved: list[float] = []
        self._ran_at: list[float] = []
        self._ran: list[tuple[float, float]] = []
        self._view_at: list[float] = []
        self._views: list[View] = []
        view = View()
        for event in events:
            if isinstance(event, Moved):
                self._moved_at.append(event.at_s)
                self._moved.append(event.video_s)
            elif isinstance(event, Ran):
                self._ran_at.append(event.at_s)
                self._ran.append((event.video_s, event.rate))
            else:
                view = _with(view, event)
                self._view_at.append(event.at_s)
                self._views.append(view)

    def video_s(self, at_s: float) -> float:
        """The moment of the film on screen at a second of the recording."""
        i = max(bisect.bisect_right(self._moved_at, at_s) - 1, 0)
        shown_s = self._moved[i] if self._moved else 0.0
        j = bisect.bisect_right(self._ran_at, at_s) - 1
        if j < 0:
            return shown_s
        from_s, rate = self._ran[j]
        if rate == 0.0:
            return shown_s
        # The screen shows a frame a few milliseconds early or late, by chance; on the run's own
        # line the film runs as evenly as it was filmed.
        line_s = from_s + rate * (at_s - self._ran_at[j])
        return line_s if abs(line_s - shown_s) <= HICCUP_S * max(1.0, abs(rate)) else shown_s

    def view(self, at_s: float) -> View:
        """Everything else on screen then."""
        i = bisect.bisect_right(self._view_at, at_s) - 1
        return self._views[i] if i >= 0 else View()

    @property
    def views(self) -> tuple[View, ...]:
        """Every view there was, in order; first the one at the start."""
        later = bisect.bisect_right(self._view_at, 0.0)
        return (self.view(0.0), *self._views[later:])


def _corrected(
    events: tuple[Event, ...], now: dict[str, Mark], left_out: set[str]
) -> tuple[Event, ...]:
    last = {e.mark.id: i for i, e in enumerate(events) if isinstance(e, MarkDrawn)}
    result: list[Event] = []
    for i, event in enumerate(events):
        if isinstance(event, MarkDrawn):
            if event.mark.id in left_out:
                continue
            if last[event.mark.id] == i and event.mark.id in now:
                event = replace(event, mark=now[event.mark.id])
        result.append(event)
    return tuple(result)


def _with(view: View, event: Event) -> View:
    if isinstance(event, MarkDrawn):
        if any(m.id == event.mark.id for m in view.marks):
            marks = tuple(event.mark if m.id == event.mark.id else m for m in view.marks)
        else:
            marks = (*view.marks, event.mark)
        return replace(view, marks=marks)
    if isinstance(event, MarkGone):
        return replace(view, marks=tuple(m for m in view.marks if m.id != event.mark_id))
    if isinstance(event, Turned):
        return replace(view, turn=PictureTurn(event.quarter_turns, event.mirrored, event.lift))
    if isinstance(event, Zoomed):
        return replace(view, zoom=(event.factor, event.x, event.y))
    if isinstance(event, CurveShown):
        return replace(view, curve=event.on)
    if isinstance(event, Shown):
        return replace(view, what=event.what, ref=event.ref, look=None)
    if isinstance(event, Laid):
        return replace(view, look=event.look)
    return view
