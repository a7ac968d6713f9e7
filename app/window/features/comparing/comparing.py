"""Two strokes side by side: which are shown, on what clock, and every change of that."""

from __future__ import annotations

import uuid

from PySide6.QtCore import QObject, QSize, Signal

from analysis.comparing.phase import StrokeTimes, other_time
from app.review.parts.comparisons import AddComparison, Comparison, PairLook, laid, usual_title
from app.review.parts.state import ReviewState
from app.review.values.stroke_ref import StrokeRef
from app.window.features.comparing.comparison_stage import ComparisonStage
from app.window.features.comparing.laying_together import LayingTogether
from app.window.session.other_recordings import Recording, own_recording
from app.window.session.playhead import Playhead, Span
from app.window.session.recording_cache import RecordingsShelf
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.frame_supply import FrameSupply
from app.window.views.picture import PictureView
from app.window.views.second_supply import SecondSupply


class Comparing(QObject):
    """Shows a comparison of the review, and turns what the coach does to it into changes."""

    shown = Signal(str)  # id of the comparison on screen, "" when it went
    changed = Signal()  # which comparison is on screen, how, or what is known of its recordings

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        supply: FrameSupply,
        picture: PictureView,
        shelf: RecordingsShelf,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead, self._session = playhead, session
        self._supply, self._shelf = supply, shelf
        self._messages = messages
        self._shown_id = ""
        self._last_id = ""  # what the toggle brings back
        self._instead: PairLook | None = None
        self._right: Recording | None = None
        self._loop: Span | None = None
        self._gestures = 0
        self.laying = LayingTogether(self)
        self.stage = ComparisonStage(picture, self.laying)
        self.second = SecondSupply(playhead, self)
        self.second.frame_ready.connect(self.stage.second.show_frame)
        self.second.lost.connect(messages.warn)
        self.stage.second.size_wanted.connect(self.second.set_size)
        self.laying.changed.connect(self.changed)
        playhead.moved.connect(self.stage.second.follow)
        session.state_changed.connect(self._take_state)
        session.recordings_changed.connect(self._renew)
        session.opening.connect(self._forget)

    @property
    def selected(self) -> Comparison | None:
        """The comparison on screen, laid together as it is shown."""
        comparison = self._find(self._shown_id)
        return None if comparison is None else laid(comparison, self._instead)

    @property
    def is_shown(self) -> bool:
        """Whether two pictures are on screen."""
        return self.selected is not None

    @property
    def left(self) -> Recording:
        """The recording on the bench."""
        return own_recording(self._session)

    @property
    def right(self) -> Recording | None:
        """The recording of the right stroke, once it is open."""
        return self._right

    def right_s(self, left_s: float) -> float | None:
        """Seconds of the right recording that belong to a moment of the left one."""
        comparison = self.selected
        return None if comparison is None else _clock_of(comparison)(left_s)

    def show(self, comparison_id: str) -> None:
        """Put a comparison on screen; "" puts the first picture there alone."""
        comparison = self._find(comparison_id)
        if comparison is not None and comparison.left.source:
            self._messages.warn(
                "The left stroke of that comparison is of another recording; open its review to"
                " see both. The bundle shows them all the same."
            )
            return
        self.laying.give_up()
        self._shown_id = comparison.id if comparison is not None else ""
        self._last_id = self._shown_id or self._last_id
        self._renew()
        if comparison is not None and not self._within(comparison.left):
            self._playhead.seek(comparison.left.catch_s)
        self.shown.emit(self._shown_id)

    def lay_instead(self, look: PairLook | None) -> None:
        """Lay what is on screen together like this while a walkthrough plays; None: as kept."""
        if look != self._instead:
            self._instead = look
            self._renew()

    def toggle(self) -> bool:
        """Show the last comparison, or the picture alone; False where there is none to show."""
        kept = self._session.state.comparisons
        if self.is_shown:
            self.show("")
        elif kept:
            self.show(self._last_id if self._find(self._last_id) else kept[-1].id)
        else:
            return False
        return True

    def show_next(self) -> None:
        """Go round the comparisons of the review."""
        kept = [c.id for c in self._session.state.comparisons]
        if not kept:
            self._messages.say("No comparison is kept yet; press Shift+C to make one.")
            return
        at = kept.index(self._shown_id) if self._shown_id in kept else -1
        self.show(kept[(at + 1) % len(kept)])

    def add(self, left: StrokeRef, right: StrokeRef, recording: Recording) -> None:
        """Keep a new comparison and show it."""
        self._shelf.keep(recording)
        comparison = Comparison(uuid.uuid4().hex, left, right, usual_title(left, right))
        self._session.do(AddComparison(comparison))
        self.show(comparison.id)

    def renew_source(self, source: str) -> None:
        """Open the recordings of a source anew: what lies there changed, came back or went."""
        self._shelf.forget(source)
        if self._right is not None and self._right.source == source:
            self._right = None
        comparison = self.selected
        if comparison is not None and comparison.right.source == source:
            self._renew()

    def open_again(self) -> None:
        """Open the other recording of the comparison shown anew: it may be read now."""
        if self.selected is not None:
            self.renew_source(self.selected.right.source)

    def close(self) -> None:
        """Stop decoding."""
        self.second.close()
        self._shelf.close()

    def _within(self, ref: StrokeRef) -> bool:
        return ref.catch_s <= self._playhead.moment_s < ref.next_catch_s

    def _find(self, comparison_id: str) -> Comparison | None:
        return next((c for c in self._session.state.comparisons if c.id == comparison_id), None)

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        self.stage.second.renew_light()
        shows = ("comparisons", "turn", "alignment", "athlete", "title")
        if all(getattr(state, name) == getattr(before, name) for name in shows):
            return
        if self._shown_id and self._find(self._shown_id) is None:
            self.show("")
        else:
            self._renew()

    def _forget(self) -> None:
        self._last_id = ""
        self.show("")

    def _renew(self) -> None:
        """Show what the review says of the comparison shown."""
        comparison = self.selected
        self._supply.share_memory(comparison is not None)
        if comparison is not None:
            self.second.cache_bytes = self._supply.cache_bytes  # the other half
        self.second.cache_bytes = self._supply.cache_bytes
        self.stage.show_comparison(comparison)
        self._set_loop(comparison)
        if comparison is None:
            self._right = None
            self._put_right(None)
        elif comparison.right.source == "":
            self._right = self.left  # with its line-up of the moment
            self._put_right(comparison)
        elif self._right is None or self._right.source != comparison.right.source:
            self._right = None
            self._put_right(None)
            self.stage.second.set_words("Opening the other recording ...")
            self._shelf.fetch("bench", comparison.right, self._came, self._failed)
        else:
            self._put_right(comparison)
        self.changed.emit()

    def _came(self, recording: Recording) -> None:
        comparison = self.selected
        if comparison is not None and comparison.right.source == recording.source:
            self._right = recording
            self._put_right(comparison)
            self.changed.emit()
            if recording.state.turn.quarter_turns != self._session.state.turn.quarter_turns:
                self._messages.say("Its own review turns that footage another way than this one.")

    def _failed(self, why: str) -> None:
        self.stage.second.set_words(why)
        self._messages.warn(why)

    def _put_right(self, comparison: Comparison | None) -> None:
        footage = self._right.footage if self._right is not None else None
        second = self.stage.second
        if footage is None or comparison is None:
            self.second.set_footage(None)
            second.set_source_size(None)
            second.show_frame(None)
            second.set_words("This stroke has no footage; its curve is compared all the same.")
            return
        second.set_words("The other recording does not show this moment.")
        second.set_source_size(QSize(footage.facts.width, footage.facts.height))
        second.follow()
        self.second.set_footage(footage)
        first = self._session.footage
        self.second.set_clock(first.index if first else None, _clock_of(comparison))

    def _set_loop(self, comparison: Comparison | None) -> None:
        """Play the left stroke round and round; a loop the coach set stays."""
        ours, self._loop = self._loop, None
        if comparison is not None:
            self._loop = Span(comparison.left.catch_s, comparison.left.next_catch_s)
            if self._loop != ours:
                self._playhead.set_loop(self._loop)
        elif ours is not None and self._playhead.loop == ours:
            self._playhead.set_loop(None)


def times_of(ref: StrokeRef) -> StrokeTimes:
    """The events of a stroke."""
    return StrokeTimes(ref.catch_s, ref.finish_s, ref.next_catch_s)


def _clock_of(comparison: Comparison):  # type: ignore[no-untyped-def]
    """What turns seconds of the left recording into seconds of the right one."""
    left, right = times_of(comparison.left), times_of(comparison.right)

    def other(left_s: float) -> float:
        return other_time(left, right, left_s, comparison.timing, comparison.shift_s).t_s

    return other
