"""Where the picture comes from: a file that was chosen or dropped, or a frame of the film."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QMainWindow

from analysis.reading_pictures.flattening import Pixels
from app.media.sent.photo import PHOTO_ENDINGS, is_picture_name, read_photo
from app.review.parts.read_curves import AddReadCurves, ReadCurve
from app.review.values.text import clean_name
from app.window.features.curve_picture.reading_dialog import ReadingDialog
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

NO_REVIEW = (
    "{name} is a picture. To read a force curve from it, open the athlete's film or force file"
    " first, then drop the picture again: its curve is kept in their review."
)


class PictureReading(QObject):
    """Opens the dialog in which curves are read, and keeps what comes of it."""

    def __init__(
        self,
        session: ReviewSession,
        playhead: Playhead,
        jobs: Jobs,
        messages: Messages,
        window: QMainWindow,
    ) -> None:
        super().__init__(window)
        self._session, self._playhead, self._window = session, playhead, window
        self._jobs, self._messages = jobs, messages

    def choose(self) -> None:
        """Ask for a picture."""
        endings = " ".join(f"*{ending}" for ending in sorted(PHOTO_ENDINGS))
        name, _filter = QFileDialog.getOpenFileName(
            self._window, "Photo or screen shot of a curve", "", f"Pictures ({endings});;All (*)"
        )
        if name:
            self.read_file(Path(name))

    def take(self, paths: Sequence[Path]) -> bool:
        """Take a picture that was dropped; what comes with others is theirs."""
        if len(paths) != 1 or not is_picture_name(paths[0]):
            return False
        name = clean_name(paths[0].name)
        if self._session.review is None:
            self._messages.warn(NO_REVIEW.format(name=name))
            return True
        self._messages.say(
            f"{name} is a picture.",
            Offer("Read the curve from this picture", lambda: self.read_file(paths[0])),
        )
        return True

    def read_file(self, path: Path) -> None:
        """Open the dialog with a picture file."""
        self._open(f"Opening {path.name}", lambda: read_photo(path), path.stem, path.name)

    def read_frame(self) -> None:
        """Open the dialog with the frame of the film that is shown."""
        footage = self._session.footage
        if footage is None:
            return
        self._playhead.pause()
        moment_s = self._playhead.moment_s

        def frame() -> Pixels:
            from app.media.video import VideoFile

            with VideoFile.open(
                footage.path, capture_fps=footage.capture_fps, index=footage.index
            ) as film:
                return film.frame_rgb(film.index.at(moment_s))

        source = f"the film at {moment_s:.2f} s"
        self._open("Taking the frame", frame, "Curve in the film", source)

    def _open(self, doing: str, read: Callable[[], Pixels], title: str, source: str) -> None:
        review = self._session.review
        if review is None:
            self._messages.warn(NO_REVIEW.format(name=clean_name(source)))
            return

        def work(progress: Progress, cancelled: Cancelled) -> Pixels:
            return read()

        def keep(curves: tuple[ReadCurve, ...]) -> None:
            if self._session.review is not review:
                self._messages.warn("Another review was opened meanwhile; nothing was kept.")
                return
            self._session.do(AddReadCurves(curves))
            what = f"“{curves[0].name}” is" if len(curves) == 1 else f"{len(curves)} curves are"
            self._messages.say(
                f"{what} kept in this review, read from a picture; it stands beside the stroke's"
                " curve, and can be made the target there."
            )

        def show(pixels: Pixels) -> None:
            ReadingDialog(
                pixels, clean_name(title)[:80], clean_name(source), self._jobs, keep, self._window
            ).show()

        self._jobs.run(doing, work, show, lambda error: self._messages.warn(str(error)))
