"""Writing the feedback bundle: to its usual place at one key, or elsewhere and in other shapes."""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QUrl, Signal
from PySide6.QtGui import QAction, QDesktopServices
from PySide6.QtWidgets import QWidget

from app.review.parts.sending import SetSending
from app.review.parts.state import ReviewState
from app.review.safety import safety_reminders
from app.window.features.sending.ask_once import NOT_YET
from app.window.features.sending.forgotten import forgotten
from app.window.features.sending.sending_prepare import Preparing, Ready, clips_folder
from app.window.session.known_recordings import access
from app.window.session.last_times import LastTimes
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings, data_folder
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.bundle.options import Shape
    from app.bundle.write import BundleResult

SHAPES = {"folder": "", "zip": ".zip", "page": ".html"}


class Sending(QObject):
    """Turns the review into what the athlete gets, off the window's thread."""

    written = Signal(object)  # BundleResult
    sent = Signal(object, object, object)  # ReviewState that was sent, its file, BundleResult
    note_wanted = Signal(str)  # its id: it is to be looked at before anything is sent

    def __init__(
        self,
        session: ReviewSession,
        jobs: Jobs,
        messages: Messages,
        settings: Settings,
        times: LastTimes,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._session = session
        self._jobs = jobs
        self._messages = messages
        self._settings = settings
        self._window = parent
        self._times = times
        self._preparing = Preparing(session, jobs, times, self)
        self.actions: Mapping[str, QAction] = {}  # how the check mends what is missing
        # What each review was written without, once asked: a new lack is asked about anew.
        self._asked: dict[str, frozenset[str]] = {}

    def show_check(self) -> None:
        """Open the three lines to read before sending, or come back to them."""
        if self._session.review is None:
            return
        from app.window.features.sending.sending_check import SendCheck

        assert self._window is not None
        open_now = self._window.findChildren(SendCheck)
        if open_now:
            open_now[0].activateWindow()
            return
        SendCheck(self._session, self, self._preparing, self.actions, self._window).show()

    def look_at(self, ready: Ready, shape: Shape) -> None:
        """Open in the browser exactly what will be sent."""
        page = ready.built.part("page") if shape == "page" else ready.built.folder / "index.html"
        open_in_system(page)

    def show_panel(self) -> None:
        """Open what is sent and how, or come back to it."""
        if self._session.review is None:
            return
        from app.window.features.sending.sending_panel import SendingPanel

        assert self._window is not None
        open_now = self._window.findChildren(SendingPanel)
        if open_now:
            open_now[0].activateWindow()
            return
        SendingPanel(self._session, self, self._preparing, self._window).show()

    def usual_place(self, shape: Shape = "folder") -> Path | None:
        """Where the bundle goes when nothing else is said: beside the review."""
        review = self._session.review
        if review is None or review.path is None:
            return None
        return review.path.with_name(f"{review.path.stem}-feedback{SHAPES[shape]}")

    def missing(self) -> tuple[str, ...]:
        """What seems to be forgotten in this review, but for what the coach went on without."""
        review = self._session.review
        if review is None:
            return ()
        known = self._asked.get(review.state.review_id, frozenset())
        return tuple(said for said in forgotten(review.state) if said not in known)

    def go_without(self) -> None:
        """The coach was asked and writes it as it is: what is missing now is not asked again."""
        review = self._session.review
        if review is not None:
            known = self._asked.get(review.state.review_id, frozenset())
            self._asked[review.state.review_id] = known | frozenset(forgotten(review.state))

    def ask_and_write(self, shape: Shape = "folder") -> None:
        """Write the bundle; where something seems to be forgotten, ask once before."""
        missing = self.missing()
        if not missing:
            self.write(shape)
            return

        def anyway() -> None:
            self.go_without()
            self.write(shape)

        self._messages.warn(
            NOT_YET.format(missing=" ".join(missing)),
            Offer("Write it anyway", anyway),
            Offer("Open Send …", self.show_check),
        )

    def write(self, shape: Shape = "folder", out: Path | None = None) -> None:
        """Write the bundle; the window stays in use meanwhile."""
        review = self._session.review
        out = out or self.usual_place(shape)
        if review is None or review.path is None or out is None:
            self._messages.warn("There is no review to send yet; open footage or force first.")
            return
        self.take_remembered()
        state, path, target = review.state, review.path, out
        last = self._times.for_bundle

        def work(progress: Progress, cancelled: Cancelled) -> object:
            from app.bundle.write import WriteOptions, write_bundle
            from app.window.session.settings import library_folder

            return write_bundle(
                state,
                path,
                target,
                as_zip=shape == "zip",
                single_file=shape == "page",
                options=WriteOptions(
                    written=date.today().isoformat(),
                    clips=clips_folder(),
                    library=library_folder(),
                    access=access(),
                    last_time=last,
                ),
                progress=progress,
                cancelled=cancelled,
            )

        self._run(work, state, path)

    def deliver(self, ready: Ready, shape: Shape, out: Path | None = None) -> None:
        """Write a bundle that is made already."""
        target = out or self.usual_place(shape)
        review = self._session.review
        if target is None or review is None or review.path is None:
            return
        place = target

        def work(progress: Progress, cancelled: Cancelled) -> object:
            from app.bundle.write import deliver

            return deliver(ready.built, place, shape, cancelled)

        self._run(work, ready.state, review.path)

    def use_logo(self, logo: tuple[str, bytes] | None) -> None:
        """Put a logo (its id and PNG) on the page, or none, and keep it for the next review."""
        review = self._session.review
        if review is None:
            return
        if logo is not None:
            review.keep_logo(*logo)
        self._session.do(SetSending(logo_id=logo[0] if logo else ""))
        self.remember()

    def remember(self) -> None:
        """Keep the coach's name, logo and language for the next review."""
        review = self._session.review
        if review is None:
            return
        self._settings.coach = review.state.sending.coach
        self._settings.language = review.state.sending.language
        with contextlib.suppress(OSError):
            png = review.logo()
            if png is None:
                _logo_file().unlink(missing_ok=True)
            else:
                _logo_file().parent.mkdir(parents=True, exist_ok=True)
                _logo_file().write_bytes(png)

    def take_remembered(self) -> None:
        """Sign a review that nobody signed yet as the last one was signed."""
        review = self._session.review
        if review is None or review.state.sending.coach or review.state.sending.logo_id:
            return
        logo_id = ""
        with contextlib.suppress(OSError):
            png = _logo_file().read_bytes()
            logo_id = hashlib.sha256(png).hexdigest()[:32]
            review.keep_logo(logo_id, png)
        if self._settings.coach or logo_id:
            self._session.do(
                SetSending(
                    coach=self._settings.coach,
                    logo_id=logo_id,
                    language=self._settings.language,
                )
            )

    def _run(self, work: object, state: ReviewState, path: Path) -> None:
        plan = state.sending
        reminders = safety_reminders(state, consent=plan.consent, minor=plan.minor)

        def done(result: BundleResult) -> None:
            self._done(result, reminders)
            self.sent.emit(state, path, result)

        self._jobs.run(
            "Writing the feedback bundle",
            work,  # type: ignore[arg-type]
            done,
            self._session.refuse,
            is_wanted=True,
        )

    def _done(self, result: BundleResult, reminders: tuple[str, ...] = ()) -> None:
        path: Path = result.path
        page = path / "index.html" if path.is_dir() else path
        size = result.bytes / 1e6
        tell = self._messages.warn if reminders else self._messages.say
        said = (
            *reminders,
            f"Feedback bundle written: {path} ({size:.1f} MB).",
            *result.hints,
            *result.remarks,
        )
        tell(
            " ".join(said),
            Offer("Look at it", lambda: open_in_system(page)),
            Offer("Show the folder", lambda: open_in_system(path.parent)),
        )
        self.written.emit(result)


def open_in_system(path: Path) -> None:
    """Open a file with the program the system has for it."""
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))


def _logo_file() -> Path:
    return data_folder() / "logo.png"
