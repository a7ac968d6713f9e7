"""What a coach does to the comparison on screen: each is a change of the review."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal, get_args

from PySide6.QtCore import QObject

from analysis.comparing.phase import PhaseError, StrokeTimes
from analysis.comparing.picture_fit import PictureFit, PictureFitError, fit_pictures
from app.review.parts.comparisons import (
    LAYOUTS,
    TIMINGS,
    Comparison,
    DeleteComparison,
    EditComparison,
    Layout,
    Timing,
    is_usual_title,
    usual_title,
)
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparing import Comparing
from app.window.features.comparing.laying_together import Point, Side
from app.window.session.other_recordings import Recording
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages

Event = Literal["catch", "finish", "next_catch"]
NOTHING_SHOWN = "No comparison is shown; press C to show one, or Shift+C to make one."
NO_FORCE_EVENTS = (
    "Neither stroke has force that is lined up with its footage; the events stay as they were set."
)
OPACITY_STEP = 0.1
EVENT_WORDS: dict[Event, str] = {
    "catch": "catch",
    "finish": "finish",
    "next_catch": "next catch",
}


class Adjusting(QObject):
    """Layout, clock, fit, labels and events of the comparison on screen."""

    def __init__(
        self, comparing: Comparing, session: ReviewSession, playhead: Playhead, messages: Messages
    ) -> None:
        super().__init__(comparing)
        self._comparing, self._session = comparing, session
        self._playhead, self._messages = playhead, messages
        self._gestures = 0
        comparing.stage.worded.connect(self._reword)
        comparing.laying.finished.connect(self._fit)

    def delete(self) -> None:
        """Take the comparison on screen away."""
        comparison = self._asked()
        if comparison is not None:
            self._comparing.show("")
            self._session.do(DeleteComparison(comparison.id))
            self._messages.say("The comparison was deleted; undo brings it back.")

    def set_layout(self, layout: Layout) -> None:
        """Lay the pictures beside, above or over each other."""
        comparison = self._asked()
        if comparison is not None and layout != comparison.layout:
            self._edit(comparison, layout=layout)

    def next_layout(self) -> None:
        """Go round the layouts."""
        comparison = self._asked()
        if comparison is not None:
            self.set_layout(LAYOUTS[(LAYOUTS.index(comparison.layout) + 1) % len(LAYOUTS)])

    def set_timing(self, timing: Timing) -> None:
        """Set the clock the two share."""
        comparison = self._asked()
        if comparison is not None and timing != comparison.timing:
            self._edit(comparison, timing=timing)

    def next_timing(self) -> None:
        """Go round the clocks."""
        comparison = self._asked()
        if comparison is not None:
            self.set_timing(TIMINGS[(TIMINGS.index(comparison.timing) + 1) % len(TIMINGS)])

    def shift(self, frames: int) -> None:
        """Let the right picture be some frames later or earlier; the two are free then."""
        comparison = self._asked()
        right = self._comparing.right
        footage = right.footage if right is not None else None
        if comparison is None or footage is None:
            return
        shift_s = comparison.shift_s if comparison.timing == "free" else 0.0
        shift_s += frames / (footage.facts.fps or 30.0)
        self._edit(comparison, timing="free", shift_s=shift_s, gesture="shift")

    def set_opacity(self, opacity: float, gesture: str = "opacity") -> None:
        """How much of the right picture is seen where it lies over the left one."""
        comparison = self._asked()
        if comparison is not None:
            value = min(max(opacity, 0.0), 1.0)
            self._edit(comparison, opacity=value, gesture=gesture)

    def change_opacity(self, sense: int) -> None:
        """More or less of the right picture; the pictures lie over each other then."""
        comparison = self._asked()
        if comparison is not None:
            value = min(max(comparison.opacity + sense * OPACITY_STEP, 0.0), 1.0)
            self._edit(comparison, layout="over", opacity=value, gesture="opacity")

    def mirror(self) -> None:
        """Mirror the right picture about its own middle."""
        comparison = self._asked()
        if comparison is not None:
            fit = replace(comparison.fit, mirrored=not comparison.fit.mirrored)
            self._edit(comparison, fit=fit)

    def lay_together(self) -> None:
        """Ask for the same two places in both pictures."""
        comparison = self._asked()
        if comparison is None:
            return
        stage = self._comparing.stage
        if not (stage.picture.shows_footage and stage.second.shows_footage):
            self._messages.warn("Both pictures must be on screen to lay them together; go to one.")
            return
        self._playhead.pause()
        self._comparing.laying.begin()

    def forget_fit(self) -> None:
        """Lay the right picture whole into the left one again."""
        comparison = self._asked()
        if comparison is None:
            return
        alone = PictureFit(comparison.fit.mirrored)
        if comparison.fit == alone:
            self._messages.say("The right picture is whole, at its own size, already.")
        else:
            self._edit(comparison, fit=alone)

    def set_event(self, side: Side, event: Event) -> None:
        """The frame on screen shows the catch, the finish or the next catch of its stroke."""
        comparison = self._asked()
        if comparison is None:
            return
        left_s = self._left_frame_s()
        right_s = self._comparing.second.time_at(self._playhead.moment_s)
        now_s = left_s if side == "left" else right_s
        ref = comparison.left if side == "left" else comparison.right
        moved = with_event(ref, event, now_s)
        if moved is None:
            self._messages.warn(
                f"The {EVENT_WORDS[event]} cannot be here: catch, finish and next catch follow "
                "each other. Nothing was changed; go to its frame and press again."
            )
            return
        self._put_event(comparison, side, event, moved, left_s)
        self._messages.say(f"The {side} stroke has its {EVENT_WORDS[event]} here.")

    def events_from_force(self) -> None:
        """Take catch, finish and next catch from the force where it is lined up with the footage.

        A hand picks whole frames; the force tells the instant between them.
        """
        comparison, right = self._asked(), self._comparing.right
        if comparison is None:
            return
        edits = {
            side: found
            for side, recording, ref in (
                ("left", self._comparing.left, comparison.left),
                ("right", right, comparison.right),
            )
            if recording is not None and (found := forced(recording, ref)) is not None
        }
        if not edits:
            self._messages.warn(NO_FORCE_EVENTS)
            return
        moved_s = max(moved(getattr(comparison, side), ref) for side, ref in edits.items())
        self._edit(comparison, **edits)
        only = next(iter(edits))
        which = "Both strokes have their" if len(edits) == 2 else f"The {only} stroke has its"
        self._messages.say(
            f"{which} events from the force now, moved by {1000 * moved_s:.0f} ms at most."
        )

    def edit_labels(self) -> None:
        """Write into the label of the left picture, then of the right one."""
        if self._asked() is not None:
            self._comparing.stage.edit_labels()

    def set_text(self, text: str) -> None:
        """Say what is to be seen in the comparison on screen."""
        comparison = self._comparing.selected
        if comparison is not None and text != comparison.text:
            self._edit(comparison, text=text)

    def set_title(self, title: str) -> None:
        """Give the comparison on screen another title."""
        comparison = self._comparing.selected
        if comparison is not None and title != comparison.title:
            self._edit(comparison, title=title)

    def show_other_marks(self, on: bool) -> None:
        """Show the marks of the other review on its stroke as well, or not."""
        comparison = self._comparing.selected
        if comparison is not None and on != comparison.other_marks:
            self._edit(comparison, other_marks=on)

    def toggle_other_marks(self) -> None:
        """Show the marks of the other review, or put them away; say why there are none."""
        comparison, right = self._asked(), self._comparing.right
        if comparison is None:
            return
        if comparison.right.source == "":
            self._messages.say("Both strokes are of this review; its marks stand on both.")
        elif not comparison.other_marks and right is not None and not right.state.marks:
            self._messages.say("Nothing is drawn in the other review; draw there to see it here.")
        else:
            self.show_other_marks(not comparison.other_marks)

    def new_gesture(self) -> str:
        """A word for one pull of a hand, which is one undo step."""
        self._gestures += 1
        return f"pull {self._gestures}"

    def _reword(self, side: str, words: str) -> None:
        comparison = self._comparing.selected
        if comparison is not None and side in get_args(Side):
            left, right = comparison.left, comparison.right
            if side == "left":
                left = replace(left, label=words)
            else:
                right = replace(right, label=words)
            title = comparison.title
            if is_usual_title(comparison):
                title = usual_title(left, right)  # nobody gave it one of its own
            self._edit(comparison, left=left, right=right, title=title)

    def _fit(self, points: tuple[Point, Point, Point, Point]) -> None:
        comparison, source = self._comparing.selected, self._comparing.stage.second.source_size
        if comparison is None or source is None:
            return
        try:
            fitted = fit_pictures(
                points[0::2], points[1::2], (float(source.width()), float(source.height()))
            )
        except PictureFitError as error:
            self._messages.warn(str(error))
            return
        self._edit(comparison, fit=fitted.fit)
        self._messages.say(
            f"Pictures matched; the places named lie {fitted.residual_px:.0f} pixels apart."
        )

    def _asked(self) -> Comparison | None:
        comparison = self._comparing.selected
        if comparison is None:
            self._messages.say(NOTHING_SHOWN)
        return comparison

    def _edit(self, comparison: Comparison, **to: object) -> None:
        self._session.do(EditComparison(comparison.id, **to))  # type: ignore[arg-type]

    def _put_event(
        self, comparison: Comparison, side: Side, event: Event, moved: StrokeRef, left_s: float
    ) -> None:
        if side == "left":
            self._edit(comparison, left=moved)
        elif event == "catch" and comparison.timing == "free":
            # The picture stays where it is: what is between the two catches is no shift any more.
            self._edit(comparison, right=moved, shift_s=comparison.left.catch_s - left_s)
        else:
            self._edit(comparison, right=moved)

    def _left_frame_s(self) -> float:
        moment_s, footage = self._playhead.moment_s, self._session.footage
        if footage is None or not footage.index.holds(moment_s):
            return moment_s
        return float(footage.index.time_s[footage.index.at(moment_s)])


def forced(recording: Recording, ref: StrokeRef) -> StrokeRef | None:
    """The stroke with the events its force tells; None where that is not known."""
    rowed = recording.rowed(ref)
    if rowed is None or rowed.stroke.next_catch_s is None:
        return None
    told = recording.ref(rowed.stroke)
    return replace(told, label=ref.label)


def moved(before: StrokeRef, after: StrokeRef) -> float:
    """How far the event that moved most has moved, seconds."""
    names = ("catch_s", "finish_s", "next_catch_s")
    return max(abs(getattr(after, name) - getattr(before, name)) for name in names)


def with_event(ref: StrokeRef, event: Event, at_s: float) -> StrokeRef | None:
    """The stroke with one event elsewhere; None where the three would not follow each other.

    A catch beyond the finish takes the whole stroke along: it is another stroke that is meant.
    """
    times = {"catch": ref.catch_s, "finish": ref.finish_s, "next_catch": ref.next_catch_s}
    if event == "catch" and at_s >= ref.finish_s:
        by_s = at_s - ref.catch_s
        times = {name: time_s + by_s for name, time_s in times.items()}
    else:
        times[event] = at_s
    try:
        StrokeTimes(times["catch"], times["finish"], times["next_catch"])
    except PhaseError:
        return None
    return replace(
        ref,
        catch_s=times["catch"],
        finish_s=times["finish"],
        next_catch_s=times["next_catch"],
        on_force=False,  # it was seen in the picture
    )
