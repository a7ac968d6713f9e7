"""The coach's shelf on the bench: a note is kept on it, and what is on it is offered again."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal

from app.review.parts.state import ReviewState
from app.review.values.text import plain
from app.window.session.other_recordings import library_folder
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.session.selection import Selection
from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from pathlib import Path

    from analysis.findings.finding import Finding
    from app.shelf.explanation import Explanation
    from app.shelf.keeping import Taken
    from app.shelf.placing import Placed
    from app.shelf.store import Shelf, ShelfList

# As `app.shelf.store`, which would bring its readers with it.
FILE_NAME: Final = "shelf.db"
NO_NOTE: Final = "Choose a note first: its words, its voice and the marks on its frame are kept."
NOTHING: Final = (
    "No finding here was explained before. Keep a note you are happy with (Note menu: Keep this"
    " explanation); it is offered when somebody shows the same finding."
)
HAS_WORDS: Final = (
    "This finding is a note in your words already; to put a kept explanation in its place, drop the"
    " finding (X) and open it again first."
)


class KeptExplanations(QObject):
    """Keeps a note on the shelf; offers what is on it for the findings of the open review.

    Attributes
    ----------
    shown : which of several explanations for one finding is offered, counted from the newest
    """

    changed = Signal()  # what is on the shelf, or what of it is offered now
    manager_wanted = Signal()

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        selection: Selection,
        jobs: Jobs,
        messages: Messages,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._playhead, self._selection = session, playhead, selection
        self._jobs, self._messages = jobs, messages
        self._listed: ShelfList | None = None
        self._seen: tuple[int, int] | None = None  # of the file, when it was read
        self.shown = 0
        self._of_here: set[str] = set()  # codes explained in this review and kept from it
        session.opened.connect(self._begin)
        session.state_changed.connect(self._take_state)
        selection.finding_chosen.connect(self._choose)

    @property
    def shelf(self) -> Shelf:
        """The shelf of this user."""
        from app.shelf.store import Shelf

        return Shelf(self.path)

    @property
    def path(self) -> Path:
        """Where its file lies."""
        return data_folder() / FILE_NAME

    @property
    def finding(self) -> Finding | None:
        """The finding something is offered for: the chosen one, else the first still open.

        While the coach looks at one that has nothing kept, nothing is offered for another.
        """
        chosen, waiting = self._selection.finding, self.waiting
        if chosen is None or any(d.code == chosen.code for d in self._session.state.decisions):
            return next((f for f in waiting if f == chosen), next(iter(waiting), None))
        return chosen if chosen in waiting else None

    @property
    def waiting(self) -> tuple[Finding, ...]:
        """Findings of this review that were explained before and are not yet here."""
        sent = self._session.submission
        if self._session.review is None or not sent.is_judged:
            return ()
        return tuple(f for f in sent.findings if self._is_open(f))

    @property
    def offered(self) -> tuple[Explanation, ...]:
        """What is offered for `finding`, the newest first."""
        finding = self.finding
        if finding is None or self._listed is None:
            return ()
        return self._listed.of(finding.code)

    def offer_other(self, place: int) -> None:
        """Offer another of several for the same finding."""
        self.shown = place

    def look_again(self) -> None:
        """Read what is on the shelf; where there is none nothing is imported."""
        seen = _stamp(self.path)
        if seen is None:
            self._listed, self._seen = None, None
            self.changed.emit()
            return

        def work(_progress: Progress, _cancelled: Cancelled) -> ShelfList:
            return self.shelf.listed()

        def take(listed: ShelfList) -> None:
            self._listed, self._seen = listed, seen
            for problem in listed.problems:
                self._messages.warn(problem)
            self.changed.emit()

        self._jobs.run("Looking at your shelf", work, take, self._refuse, is_quiet=True)

    def keep(self) -> None:
        """Keep the chosen note with all it explains by."""
        review, note_id = self._session.review, self._selection.note_id
        note = next((n for n in self._session.state.notes if n.id == note_id), None)
        if review is None or note is None:
            self._messages.say(NO_NOTE)
            return
        sent, footage = self._session.submission, self._session.footage
        wav = b""
        if note.voice is not None:
            try:
                wav = review.sound(note.voice.id)
            except ValueError as error:
                self._messages.warn(str(error))
                return
        chosen = self._selection.finding
        beside = "" if chosen is None else chosen.code

        def frame_of(moment_s: float) -> int:
            return round(1000 * moment_s) if footage is None else footage.index.at(moment_s)

        def work(_progress: Progress, _cancelled: Cancelled) -> Taken:
            from app.shelf.keeping import take

            taken = take(sent, note_id, lambda _id: wav, frame_of, beside)
            self.shelf.keep(taken.explanation, taken.wav)
            return taken

        self._jobs.run(
            "Keeping the explanation", work, self._say_kept, self._refuse, is_wanted=True
        )

    def use(self) -> None:
        """Put what is offered onto this athlete's frame, as a note of the finding."""
        finding, offered = self.finding, self.offered
        review = self._session.review
        if review is None or finding is None or not offered:
            self._messages.say(self._why_not())
            return
        kept = offered[min(self.shown, len(offered) - 1)]
        sent, footage = self._session.submission, self._session.footage

        def snapped(moment_s: float) -> float:
            if footage is None:
                return moment_s
            return float(footage.index.time_s[footage.index.at(moment_s)])

        def work(_progress: Progress, _cancelled: Cancelled) -> tuple[Placed, bytes]:
            from app.shelf.placing import place

            placed = place(kept, finding, sent, library_folder(), snapped)
            return placed, self.shelf.sound(kept.id) if placed.sound_id else b""

        def take(made: tuple[Placed, bytes]) -> None:
            if self._session.review is review:  # else another one was opened meanwhile
                self._put(kept, *made)

        self._jobs.run("Putting the explanation here", work, take, self._refuse, is_quiet=True)

    def _put(self, kept: Explanation, placed: Placed, wav: bytes) -> None:
        review = self._session.review
        assert review is not None
        if placed.sound_id:
            review.keep_sound(placed.sound_id, wav)
        self._session.do(placed.change)
        note = placed.change.note
        self._playhead.pause()
        self._selection.note_wanted.emit(note.id)
        said = (f"“{plain(kept.title)}” is here as a note: read it before you send it.",)
        self._messages.say(" ".join((*said, *placed.said)))

    def _say_kept(self, taken: Taken) -> None:
        kept = taken.explanation
        self._of_here.update(kept.codes)
        words = f"Kept on your shelf: “{plain(kept.title)}” ({kept.holds})."
        if not kept.codes:
            words += " Say in your shelf for which finding it is offered."
        said = " ".join((words, *taken.remarks))
        self._messages.say(said, Offer("Show the shelf", self.manager_wanted.emit))
        self.look_again()

    def _why_not(self) -> str:
        chosen = self._selection.finding
        if chosen is not None and self._listed is not None and self._listed.of(chosen.code):
            return HAS_WORDS
        return NOTHING

    def _is_open(self, finding: Finding) -> bool:
        """Whether a kept explanation would be a gain: nothing of the coach's stands there yet."""
        from app.review.finding_notes import finding_text
        from app.shelf.explanation import note_id_for

        offered = () if self._listed is None else self._listed.of(finding.code)
        if not offered or finding.code in self._of_here:
            return False
        state = self._session.state
        decision = next((d for d in state.decisions if d.code == finding.code), None)
        if decision is None:
            return True
        if any(
            note_id_for(kept.id, finding.code, state.review_id) == decision.note_id
            for kept in offered
        ):
            return False
        note = next((n for n in state.notes if n.id == decision.note_id), None)
        return note is not None and note.voice is None and note.text == finding_text(finding)

    def _begin(self) -> None:
        """Another review is on the bench, or it has one more recording."""
        self._of_here.clear()
        self.look_again()

    def _choose(self, _finding: object) -> None:
        self.shown = 0
        if _stamp(self.path) != self._seen:  # another window kept something
            self.look_again()
        else:
            self.changed.emit()

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if (state.decisions, state.notes) != (before.decisions, before.notes):
            self.changed.emit()

    def _refuse(self, error: Exception) -> None:
        self._messages.warn(str(error))


def _stamp(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size
