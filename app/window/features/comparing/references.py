"""The coach's library of reference strokes on the bench: kept, shown, put beside a stroke."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget
from shiboken6 import isValid

from app.review.parts.reference import Reference
from app.review.reference_library import ReferenceLibrary
from app.review.references import KeptReference, ReferenceList
from app.review.values.stroke_ref import StrokeRef
from app.submission.resolving import resolve
from app.window.features.comparing.comparing import Comparing
from app.window.features.comparing.reference_dialog import ReferenceDialog
from app.window.features.comparing.reference_looks import Looks
from app.window.features.comparing.references_dialog import ReferencesDialog
from app.window.session.known_recordings import access
from app.window.session.other_recordings import Recording, library_folder, own_recording
from app.window.session.playhead import Playhead
from app.window.session.recording_cache import RecordingsShelf
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages

ThisStroke = Callable[[], StrokeRef | None]


class References(QObject):
    """Opens what shows the library; its undo lives as long as the window."""

    def __init__(
        self,
        comparing: Comparing,
        session: ReviewSession,
        playhead: Playhead,
        shelf: RecordingsShelf,
        jobs: Jobs,
        messages: Messages,
    ) -> None:
        super().__init__(comparing)
        self._comparing, self._session, self._playhead = comparing, session, playhead
        self._shelf, self._jobs, self._messages = shelf, jobs, messages
        self._library: ReferenceLibrary | None = None
        self._looks = Looks(jobs, self)

    @property
    def library(self) -> ReferenceLibrary:
        """The library of this user."""
        if self._library is None or self._library.folder != library_folder():
            self._library = ReferenceLibrary(library_folder())
        return self._library

    def show(self, this_stroke: ThisStroke, window: QWidget) -> None:
        """Open the library, or come back to it."""
        open_now = window.findChildren(ReferencesDialog)
        if open_now:
            open_now[0].activateWindow()
            return
        self._playhead.pause()
        can_compare = self._session.review is not None
        dialog = ReferencesDialog(self.library, self._looks, self._uses, can_compare, window)
        dialog.changed.connect(self._comparing.renew_source)
        dialog.compare_wanted.connect(lambda kept: self._put_beside(kept, this_stroke(), dialog))
        dialog.show()

        def found(_strokes: ReferenceList) -> None:
            if isValid(dialog):  # else it was closed meanwhile
                dialog.show_library()

        self.find(found)

    def find(self, done: Callable[[ReferenceList], None]) -> None:
        """Read the library in a job; the first time a simulated stroke is put there."""

        def work(progress: Progress, cancelled: Cancelled) -> ReferenceList:
            from app.prepared.reference_strokes import ensure_simulated_reference

            ensure_simulated_reference(library_folder())
            return self.library.kept()

        self._jobs.run("Looking through the library", work, done, self._refuse)

    def ask_to_keep(self, stroke: StrokeRef | None, window: QWidget) -> None:
        """Ask what to remember of a stroke, and put it into the library."""
        if stroke is None or self._session.footage is None:
            self._messages.warn(
                "There is no stroke here; go to one. Without a force file, press Shift+C and set"
                " its catch, finish and next catch first."
            )
            return
        self._playhead.pause()
        ReferenceDialog(stroke, lambda said: self._keep(stroke, said), window).show()

    def _keep(self, stroke: StrokeRef, reference: Reference) -> None:
        review = self._session.review
        if review is None or review.path is None:
            return
        place, state = review.path, review.state

        def work(progress: Progress, cancelled: Cancelled) -> str:
            from app.prepared.reference_strokes import keep_stroke

            library = library_folder()
            found = resolve(stroke, state, place, library, cancelled, access())
            return keep_stroke(library, found, reference, cancelled, access()).reference.name

        self._jobs.run(
            "Keeping the stroke",
            work,
            lambda name: self._messages.say(
                f"“{name}” is in your library now; Shift+C offers it for any comparison."
            ),
            self._session.refuse,
            is_wanted=True,
        )

    def _put_beside(
        self, kept: KeptReference, stroke: StrokeRef | None, dialog: ReferencesDialog
    ) -> None:
        """Compare a stroke of the bench with one of the library."""
        left = stroke or own_recording(self._session).guess(self._playhead.moment_s)

        def came(recording: Recording) -> None:
            self._comparing.add(left, kept.stroke, recording)
            if isValid(dialog):
                dialog.close()

        def failed(why: str) -> None:
            if isValid(dialog):
                dialog.said.setText(why)

        self._shelf.fetch("library", kept.stroke, came, failed)

    def _uses(self, reference_id: str) -> int:
        """How often the open review shows a stroke of the library."""
        state = self._session.state
        strokes = [s for c in state.comparisons for s in (c.left, c.right)]
        if state.self_test is not None:
            strokes += [item.stroke for item in state.self_test.items]
        return sum(stroke.source == reference_id for stroke in strokes)

    def _refuse(self, error: Exception) -> None:
        self._messages.warn(str(error))
