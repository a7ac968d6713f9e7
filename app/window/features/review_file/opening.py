"""Choosing what to open: by dialog, by dropping, by a recent name, or the sample."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QWidget

from app.review.parts.change import Change
from app.review.parts.films import RefindFilm
from app.review.parts.media import SetTrace, SetVideo
from app.review.values.text import clean_name
from app.window.session.incoming_files import IncomingFiles
from app.window.session.known_recordings import access, lost_recordings
from app.window.session.review_session import ReviewSession
from app.window.session.settings import data_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages

EVERYTHING = "Submissions and reviews (*)"


class Opening(QObject):
    """Asks where things lie and hands them to the session."""

    def __init__(
        self,
        window: QWidget,
        session: ReviewSession,
        jobs: Jobs,
        messages: Messages,
        incoming: IncomingFiles,
    ) -> None:
        super().__init__(window)
        self._window = window
        self._session = session
        self._jobs = jobs
        self._messages = messages
        self._incoming = incoming

    def choose(self) -> None:
        """Ask for files to open."""
        names, _filter = QFileDialog.getOpenFileNames(
            self._window, "Open footage, force or a review", self._folder(), EVERYTHING
        )
        paths = [Path(name) for name in names]
        if paths:
            self._incoming.open(paths)

    def find_recording(self) -> None:
        """Ask for the folder where the review's recordings lie now, and find them by content."""
        review = self._session.review
        if review is None or review.path is None:
            return
        lost = lost_recordings(review.state, review.path)
        if not lost:
            self._messages.say("Nothing is missing; footage and force are where they were.")
            return
        name = QFileDialog.getExistingDirectory(
            self._window, "Where do the recordings lie now?", self._folder()
        )
        if not name:
            return
        place = review.path

        further = {film.ref: film.id for film in review.state.films}

        def work(progress: Progress, cancelled: Cancelled) -> list[Change]:
            from app.review.recordings import find_again, name_of, refer

            changes: list[Change] = []
            for ref in lost:
                found = find_again(ref, Path(name), cancelled=cancelled)
                if found is None:
                    raise ValueError(
                        f"{name_of(ref.path)} is not in {clean_name(Path(name).name)}; "
                        "nothing was changed. Try another folder."
                    )
                again = replace(
                    refer(found, ref.kind, place, ref.mapping), capture_fps=ref.capture_fps
                )
                access().chose(place, again, found)
                if ref in further:
                    changes.append(RefindFilm(further[ref], again))
                else:
                    changes.append(SetVideo(again) if ref.kind == "video" else SetTrace(again))
            return changes

        def use(changes: list[Change]) -> None:
            if self._session.review is not review:
                return  # another one was opened meanwhile
            for change in changes:
                self._session.do(change)
            self._session.open_review(place)

        self._jobs.run(
            "Looking for the recordings", work, use, lambda e: self._messages.warn(str(e))
        )

    def open_sample(self) -> None:
        """Open the sample submission, from a copy the coach may work on."""

        def work(progress: Progress, cancelled: Cancelled) -> Path:
            from app.prepared.sample_review import sample_review

            return sample_review(data_folder() / "sample")

        self._jobs.run(
            "Laying out the sample",
            work,
            self._session.open_review,
            lambda error: self._messages.warn(str(error)),
        )

    def _folder(self) -> str:
        review = self._session.review
        return str(review.path.parent if review and review.path else Path.home())
