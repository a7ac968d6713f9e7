"""The bundle made ready in the background, so that its size is known and it can be looked at.

What is previewed is what is written: the same bytes, delivered in any shape.
"""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QStandardPaths, QTimer, Signal

from app.review.parts.sending import QUALITIES
from app.review.parts.state import ReviewState
from app.review.recordings import OtherRecording
from app.window.session.known_recordings import access
from app.window.session.last_times import LastTimes
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress

if TYPE_CHECKING:
    from app.bundle.build import Built
    from app.bundle.options import Shape
    from app.bundle.sources.last_time import LastTime

_REST_MS = 700  # after a change, before anything is made


def cache_folder() -> Path:
    """Where disposable things of this program lie."""
    where = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericCacheLocation)
    return Path(where) / "strokeside"


def clips_folder() -> Path:
    """Where clips made before lie; everything in it may be deleted."""
    return cache_folder() / "clips"


@dataclass(frozen=True)
class Ready:
    """A bundle as the review stands, lying in the cache.

    Attributes
    ----------
    state : what it was made from
    """

    state: ReviewState
    built: Built
    keep: ExitStack


class Preparing(QObject):
    """Makes the bundle of the review as it stands, again after each change."""

    progressed = Signal(float, str)
    ready = Signal(object)  # Ready
    outdated = Signal()
    failed = Signal(str)
    doubted = Signal(object)  # OtherRecording: asked about before anything is made
    fitted = Signal(str)  # what was found when fitting

    def __init__(
        self, session: ReviewSession, jobs: Jobs, times: LastTimes, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._session, self._jobs, self._times = session, jobs, times
        self._ready: Ready | None = None
        self._job: Job | None = None
        self._wanted = False
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._start)
        session.state_changed.connect(self._take_state)
        session.own.changed.connect(self._make_anew)
        times.changed.connect(self._make_anew)

    @property
    def current(self) -> Ready | None:
        """The bundle, if it is that of the review as it stands."""
        ready = self._ready
        return ready if ready is not None and ready.state == self._session.state else None

    def begin(self) -> None:
        """Make the bundle now, and again after each change."""
        self._wanted = True
        if self.current is None:
            self.outdated.emit()
            self._start()

    def end(self) -> None:
        """Make no more, and let go of what was made."""
        self._wanted = False
        self._rest.stop()
        self._stop()
        self._drop()

    def fit(self, shape: Shape, most_bytes: int) -> None:
        """Find the best quality whose bundle is no larger; `fitted` says which, or why not."""
        state, path, last = self._session.state, self._path(), self._times.for_bundle
        if path is None:
            return
        self._stop()
        self._rest.stop()

        def work(progress: Progress, cancelled: Cancelled) -> tuple[str, dict[str, int]]:
            sizes: dict[str, int] = {}
            for name in reversed(QUALITIES):
                plan = replace(state.sending, quality=name)
                with ExitStack() as stack:
                    shown = replace(state, sending=plan)
                    built = _build(shown, path, last, stack, progress, cancelled)
                    sizes[name] = built.size(shape)
                if sizes[name] <= most_bytes:
                    return name, sizes
            return "", sizes

        self._job = self._jobs.run(
            "Finding the quality that fits",
            work,
            lambda found: self._fitted(state, found, most_bytes),
            self._fail,
        )
        self._job.progressed.connect(self.progressed)

    def _fitted(
        self, state: ReviewState, found: tuple[str, dict[str, int]], most_bytes: int
    ) -> None:
        from app.bundle.pictures.quality import QUALITY
        from app.review.parts.sending import SetSending

        self._job = None
        name, sizes = found
        limit = f"{most_bytes / 1e6:.0f} MB"
        if not name:
            least = min(sizes.values()) / 1e6
            self.fitted.emit(
                f"Even the smallest quality makes {least:.1f} MB, more than {limit}; send fewer "
                "notes, or without the originals."
            )
        else:
            size = sizes[name] / 1e6
            self.fitted.emit(f"“{QUALITY[name].about}” makes {size:.1f} MB, within {limit}.")
            if self._session.state == state:
                self._session.do(SetSending(quality=name))
        if self.current is None and self._wanted:
            self._rest.start()

    def _path(self) -> Path | None:
        return None if self._session.review is None else self._session.review.path

    def _take_state(self, state: ReviewState, before: ReviewState) -> None:
        if not self._wanted:
            return
        self._stop()
        if self.current is None:
            self.outdated.emit()
            self._rest.start()

    def _make_anew(self) -> None:
        """What holds for all reviews, such as the flywheel, is another."""
        if self._wanted:
            self._drop()
            self._take_state(self._session.state, self._session.state)

    def _start(self) -> None:
        state, path, last = self._session.state, self._path(), self._times.for_bundle
        if path is None:
            return
        self._stop()
        self._drop()
        keep = ExitStack()

        def work(progress: Progress, cancelled: Cancelled) -> Ready:
            try:
                return Ready(state, _build(state, path, last, keep, progress, cancelled), keep)
            except BaseException:
                keep.close()
                raise

        self._job = self._jobs.run("Preparing the bundle", work, self._take, self._fail)
        self._job.progressed.connect(self.progressed)

    def _take(self, ready: Ready) -> None:
        self._job = None
        self._drop()
        self._ready = ready
        if self.current is not None:
            self.ready.emit(ready)

    def _fail(self, error: Exception) -> None:
        self._job = None
        if isinstance(error, OtherRecording):
            self.doubted.emit(error)
        self.failed.emit(str(error))

    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None

    def _drop(self) -> None:
        if self._ready is not None:
            self._ready.keep.close()
            self._ready = None


def _build(
    state: ReviewState,
    path: Path,
    last: LastTime | None,
    stack: ExitStack,
    progress: Progress,
    cancelled: Cancelled,
) -> Built:
    from app.bundle.build import build
    from app.bundle.options import WriteOptions
    from app.bundle.workshop import workshop
    from app.window.session.settings import library_folder

    shop = stack.enter_context(workshop(cache_folder() / "preview" / "bundle"))
    options = WriteOptions(
        written=date.today().isoformat(),
        clips=clips_folder(),
        library=library_folder(),
        access=access(),
        last_time=last,
    )
    return build(state, path, shop, options, ("folder", "zip", "page"), progress, cancelled)
