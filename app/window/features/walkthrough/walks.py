"""The walkthroughs of the review: the selected one, a span of it, and what is done to both."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QUrl, Signal
from PySide6.QtGui import QDesktopServices

from app.review.parts.change import Change
from app.review.parts.state import ReviewState
from app.review.parts.walk_timing import SHORTEST_S
from app.review.parts.walkthroughs import (
    BringBack,
    Caption,
    CutOut,
    DeleteWalkthrough,
    LeaveOutMark,
    RenameWalkthrough,
    SetCaption,
    Walkthrough,
)
from app.window.session.known_recordings import access
from app.window.session.review_session import ReviewSession
from app.window.session.settings import library_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.bundle.walkthrough.walkthrough_render import RenderedWalk

# A caption typed without a span stays so long; common practice, no source.
CAPTION_S = 3.0
NONE = "There is no walkthrough yet; press F9 and review as if the athlete stood beside you."
NO_SPAN = "Choose a span first: drag over the walkthrough, or press From here and To here."

Span = tuple[float, float]


class Walks(QObject):
    """Turns what is done to a walkthrough into changes of the review. Times are its own seconds."""

    chosen = Signal()  # another walkthrough, or another caption, is selected
    changed = Signal()  # the selected walkthrough, its place or its span
    words_wanted = Signal()  # put the cursor where a caption is typed
    written = Signal(object)  # RenderedWalk

    def __init__(
        self, session: ReviewSession, jobs: Jobs, messages: Messages, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self._jobs, self._messages = session, jobs, messages
        self._chosen = ""
        self._caption = ""
        self._at_s = 0.0
        self._from_s: float | None = None
        self._to_s: float | None = None
        session.state_changed.connect(self._take_state)

    @property
    def selected(self) -> Walkthrough | None:
        """The walkthrough chosen, or the last one."""
        walks = self._session.state.walkthroughs
        return next((w for w in walks if w.id == self._chosen), walks[-1] if walks else None)

    @property
    def caption(self) -> Caption | None:
        """The caption chosen."""
        walk = self.selected
        captions = walk.captions if walk is not None else ()
        return next((c for c in captions if c.id == self._caption), None)

    @property
    def at_s(self) -> float:
        """Where its playing stands."""
        return self._at_s

    @property
    def span(self) -> Span | None:
        """The span chosen, in order; None while there is none."""
        if self._from_s is None or self._to_s is None:
            return None
        first, last = sorted((self._from_s, self._to_s))
        return (first, last) if last - first >= SHORTEST_S else None

    @property
    def begun_s(self) -> float | None:
        """Where a span was begun that has no end yet."""
        return self._from_s if self._to_s is None else None

    def choose(self, walk_id: str) -> None:
        """Select a walkthrough."""
        self._chosen, self._caption = walk_id, ""
        self._at_s, self._from_s, self._to_s = 0.0, None, None
        self.chosen.emit()
        self.changed.emit()

    def go(self, at_s: float) -> None:
        """Stand at a second of the recording."""
        walk = self.selected
        self._at_s = min(max(at_s, 0.0), walk.length_s if walk is not None else 0.0)
        self.changed.emit()

    def select(self, from_s: float | None, to_s: float | None = None) -> None:
        """Choose a span, or none."""
        self._from_s, self._to_s = from_s, to_s
        self.changed.emit()

    def span_from(self) -> None:
        """The span begins where the playing stands."""
        if self._walk() is not None:
            self.select(self._at_s)

    def span_to(self) -> None:
        """The span ends where the playing stands."""
        if self._walk() is not None:
            self.select(0.0 if self._from_s is None else self._from_s, self._at_s)

    def cut_out(self) -> None:
        """Cut the span out."""
        walk, span = self._walk(), self.span
        if walk is None:
            return
        if span is None:
            self._messages.say(NO_SPAN)
            return
        if self._do(CutOut(walk.id, *span)):
            self.select(None)
            self._messages.say(
                f"{span[1] - span[0]:.1f} s are cut out; undo or Restore brings them back."
            )

    def bring_back(self) -> None:
        """Bring back what was cut out where the playing, or the span, stands."""
        walk, span = self._walk(), self.span
        if walk is None:
            return
        places = [self._at_s] if span is None else [self._at_s, *span, sum(span) / 2]
        for at_s in places:
            if any(c.from_s <= at_s <= c.to_s for c in walk.cuts):
                self._do(BringBack(walk.id, at_s))
                return
        self._messages.say("Nothing was cut out here; click on a cut, then press it again.")

    def rename(self, title: str) -> None:
        """Give the selected walkthrough a title."""
        walk = self.selected
        if walk is not None and title != walk.title:
            self._do(RenameWalkthrough(walk.id, title))

    def delete(self) -> None:
        """Take the selected walkthrough away."""
        walk = self._walk()
        if walk is not None and self._do(DeleteWalkthrough(walk.id)):
            self._messages.say("The walkthrough was taken away; undo brings it back.")

    def begin_words(self) -> None:
        """Type words for the span, or for a few seconds from where the playing stands."""
        if self._walk() is not None:
            self._caption = ""
            self.chosen.emit()
            self.words_wanted.emit()

    def choose_caption(self, caption_id: str) -> None:
        """Select a caption, and stand at its start."""
        self._caption = caption_id
        caption = self.caption
        if caption is not None:
            self._at_s = caption.from_s
            self._from_s, self._to_s = caption.from_s, caption.to_s
        self.chosen.emit()
        self.changed.emit()

    def say(self, text: str) -> None:
        """Set the words of the selected caption; without one, a new one for the span."""
        walk, caption = self.selected, self.caption
        if walk is None:
            return
        if caption is None:
            if not text.strip():
                return
            first, last = self.span or self._next_span(walk)
            caption = Caption(uuid.uuid4().hex, first, last, "")
        self._caption = caption.id if text else ""
        self._do(SetCaption(walk.id, Caption(caption.id, caption.from_s, caption.to_s, text)))

    def leave_out(self, mark_id: str) -> None:
        """Do not show a mark in the selected walkthrough, or show it again."""
        walk = self._walk()
        if walk is None:
            return
        if not mark_id:
            self._messages.say("Choose a mark first: press P, then click on it.")
            return
        out = mark_id not in walk.left_out
        if self._do(LeaveOutMark(walk.id, mark_id, out)):
            self._messages.say(
                "The mark is left out of the walkthrough; again shows it."
                if out
                else "The mark is in the walkthrough again."
            )

    def usual_place(self) -> Path | None:
        """Where the film of the selected walkthrough goes: beside the review."""
        review, walk = self._session.review, self.selected
        if review is None or review.path is None or walk is None:
            return None
        number = [w.id for w in review.state.walkthroughs].index(walk.id) + 1
        return review.path.with_name(f"{review.path.stem}-walkthrough-{number}.mp4")

    def write(self, out: Path | None = None) -> None:
        """Write the selected walkthrough as a film; the window stays in use meanwhile."""
        review, walk, place = self._session.review, self._walk(), out or self.usual_place()
        if review is None or review.path is None or walk is None or place is None:
            return
        state, path, target = review.state, review.path, place

        def work(progress: Progress, cancelled: Cancelled) -> object:
            from app.bundle.walkthrough.walkthrough_render import WalkJob, render_walk

            job = WalkJob(state, path, library=library_folder(), access=access())
            return render_walk(walk, job, target, progress, cancelled)

        self._jobs.run(
            "Writing the walkthrough",
            work,
            self._done,
            self._session.refuse,
            is_wanted=True,
        )

    def _done(self, result: RenderedWalk) -> None:
        path = result.path
        size = path.stat().st_size / 1e6
        words = f"Walkthrough written: {path} ({size:.1f} MB). {' '.join(result.remarks)}"
        url = QUrl.fromLocalFile(str(path))
        folder = QUrl.fromLocalFile(str(path.parent))
        self._messages.say(
            words.strip(),
            Offer("Look at it", lambda: _open(url)),
            Offer("Show the folder", lambda: _open(folder)),
        )
        self.written.emit(result)

    def _next_span(self, walk: Walkthrough) -> Span:
        """A few seconds from where the playing stands, up to the next caption."""
        first = min(self._at_s, max(walk.length_s - SHORTEST_S, 0.0))
        later = [c.from_s for c in walk.captions if c.from_s > first + SHORTEST_S]
        return first, min([first + CAPTION_S, walk.length_s, *later])

    def _walk(self) -> Walkthrough | None:
        walk = self.selected
        if walk is None:
            self._messages.say(NONE)
        return walk

    def _do(self, change: Change) -> bool:
        before = self._session.state
        self._session.do(change)
        return self._session.state != before

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if state.walkthroughs == before.walkthroughs:
            return
        ids = [w.id for w in state.walkthroughs]
        if self._chosen not in ids:
            self._chosen = ids[-1] if ids else ""
            self._at_s, self._from_s, self._to_s = 0.0, None, None
        self.chosen.emit()
        self.changed.emit()


def _open(url: QUrl) -> None:
    QDesktopServices.openUrl(url)
