"""A stroke of last time over one of this time, frame by frame, made when it is asked for."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import Qt
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from app.window.session.known_recordings import access
from app.window.session.last_times import LastTimes
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress

if TYPE_CHECKING:
    from app.bundle.sources.last_time import Earlier
    from app.submission.submission import LoadedSubmission

SHOW: Final = "Show a stroke of each, frame by frame"
MAKING: Final = "Taking the frames …"
NONE: Final = "One of the films is not at hand, or not lined up with its force."
WHEN: Final = ("Last time", "This time")
_WIDTH_PX: Final = 700


class TwoStrips(QWidget):
    """A button, and both strips once it was pressed."""

    def __init__(self, times: LastTimes, session: ReviewSession, jobs: Jobs) -> None:
        super().__init__()
        self._times, self._session, self._jobs = times, session, jobs
        self._job: Job | None = None
        self._of: tuple[str, str] | None = None
        self.show_them = QPushButton(SHOW)
        self.show_them.setToolTip("The stroke nearest the mean of each piece, over its curve.")
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setProperty("role", "quiet")
        self.pictures = [QLabel() for _ in WHEN]
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.show_them, self.said):
            column.addWidget(widget)
        for when, picture in zip(WHEN, self.pictures, strict=True):
            picture.setAccessibleName(f"{when}: a stroke frame by frame")
            picture.setToolTip(when)
            column.addWidget(picture)
        self.show_them.clicked.connect(self.make)
        times.changed.connect(self._follow)
        self._follow()

    def make(self) -> None:
        """Take the frames off the window's thread."""
        earlier = self._earlier()
        if earlier is None:
            return
        self.said.setText(MAKING)
        self.said.show()
        self.show_them.hide()
        work = partial(_paint, earlier, self._session.submission)
        of = self._pair()

        def use(made: tuple[bytes, bytes] | None) -> None:
            if of == self._pair():
                self._show(made)

        self._job = self._jobs.run(
            "Laying two strokes out", work, use, lambda error: self.said.setText(str(error))
        )

    def _show(self, made: tuple[bytes, bytes] | None) -> None:
        self.said.setText(NONE)
        self.said.setVisible(made is None)
        for picture, data in zip(self.pictures, made or (), strict=False):
            pixels = QPixmap()
            pixels.loadFromData(data)
            wide = max(200, self.width())
            picture.setPixmap(
                pixels.scaledToWidth(wide, Qt.TransformationMode.SmoothTransformation)
            )
            picture.show()

    def _follow(self) -> None:
        """Another pair begins with the button."""
        pair = self._pair()
        if pair == self._of and pair is not None:
            return
        self._of = pair
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self.said.hide()
        for picture in self.pictures:
            picture.clear()
            picture.hide()
        has_film = self._session.submission.video_path is not None
        earlier = self._earlier()
        shown = earlier is not None and earlier.state.video is not None and has_film
        self.show_them.setVisible(shown)
        self.setVisible(shown)

    def _earlier(self) -> Earlier | None:
        found = self._times.found
        return None if found is None or found.last is None else found.last.earlier

    def _pair(self) -> tuple[str, str] | None:
        found, earlier = self._times.found, self._earlier()
        if found is None or earlier is None:
            return None
        return found.review_id, earlier.state.review_id


def _paint(
    earlier: Earlier, sent: LoadedSubmission, _progress: Progress, _cancelled: Cancelled
) -> tuple[bytes, bytes] | None:
    from app.bundle.pictures.strip_paint import paint_strip
    from app.last_time.strips import both_strips

    made = both_strips(earlier, sent, access())
    if made is None:
        return None
    then, now = (paint_strip(strip, _WIDTH_PX, dark=True) for strip in made)
    return then, now
