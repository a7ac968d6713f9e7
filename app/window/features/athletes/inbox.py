"""The watched folder: what lies in it is proposed; nothing is opened or paired in silence."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from app.review.parts.about import SetAthlete
from app.review.recordings import name_of
from app.review.values.text import plain
from app.window.features.athletes.inbox_look import InboxItem, Known, Looked
from app.window.session.coach_library import CoachLibrary
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.library.library import Library

REST_MS: Final = 1500  # after a change in the folder, before it is looked at
_AGAIN_MS: Final = 6000  # where files were still being written
_MOST_FOLDERS: Final = 200
_LOOK: Final = "app.window.features.athletes.inbox_look:look"


class Inbox(QObject):
    """Looks again whenever something changes in the folder.

    Attributes
    ----------
    items : what lies there and has no review yet, drafts first
    """

    changed = Signal()

    def __init__(
        self,
        session: ReviewSession,
        library: CoachLibrary,
        settings: Settings,
        jobs: Jobs,
        messages: Messages,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._session, self._library, self._settings = session, library, settings
        self._jobs, self._messages, self._window = jobs, messages, window
        self.items: tuple[InboxItem, ...] = ()
        self._looking = False
        self._again = False
        self._begun: InboxItem | None = None
        self._watcher = QFileSystemWatcher(self)
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(self.look)
        self._watcher.directoryChanged.connect(lambda _path: self._rest.start())
        session.opened.connect(self._name_begun)
        library.changed.connect(self._rest_if_watching)

    @property
    def folder(self) -> Path | None:
        """The folder that is watched, None for none."""
        return Path(self._settings.inbox) if self._settings.inbox else None

    def choose(self) -> None:
        """Let the coach name the folder."""
        name = QFileDialog.getExistingDirectory(
            self._window, "Watch a folder for what athletes send", self._settings.inbox
        )
        if name:
            self.watch(Path(name))

    def watch(self, folder: Path) -> None:
        """Watch this one from now on."""
        self._settings.inbox = str(folder)
        self.begin()
        self._messages.say(
            f"{plain(folder.name)} is watched: what comes in is proposed on the first screen.",
            Offer("Stop watching", self.stop),
        )

    def stop(self) -> None:
        """Watch nothing any more; what lies in the folder stays as it is."""
        self._settings.inbox = ""
        self._follow_folders(())
        self._put(())

    def begin(self) -> None:
        """Look at the folder, and again when something changes in it."""
        if self.folder is not None:
            self.look()

    def look(self) -> None:
        """Look now; while that goes on, once more afterwards."""
        folder = self.folder
        if folder is None:
            return
        if self._looking:
            self._again = True
            return
        self._looking = True
        pool = self._jobs.process_pool

        def work(progress: Progress, cancelled: Cancelled) -> tuple[Looked, tuple[str, ...]]:
            if not folder.is_dir():
                raise ValueError(
                    f"The inbox {plain(folder.name)} is not there any more; choose another folder, "
                    "or stop watching it."
                )
            known = self._library.now(_known) if self._library.is_there else frozenset()
            places = (folder, *(p for p in sorted(folder.iterdir()) if p.is_dir()))
            looked: Looked = pool.call(_LOOK, (folder, known), progress, cancelled)
            return looked, tuple(str(place) for place in places[:_MOST_FOLDERS])

        self._jobs.run("Looking into the inbox", work, self._take, self._fail, is_quiet=True)

    def open(self, item: InboxItem) -> None:
        """Open a draft, or begin a review of what came."""
        if item.review is not None:
            self._session.open_review(item.review)
            return
        self._begun = item
        said = " ".join(part for part in (WHY.get(item.why, ""), item.remark) if part)
        self._session.begin(item.films[0] if item.films else None, item.force, said)

    def _name_begun(self) -> None:
        """The folder says whose it is; a name that was typed already stays."""
        item, state = self._begun, self._session.state
        if item is None:
            return
        self._begun = None
        files = {path.name for path in (*item.films, *((item.force,) if item.force else ()))}
        refs = [ref for ref in (state.video, state.trace) if ref is not None]
        names = {name_of(ref.path) for ref in refs}
        if item.athlete and not state.athlete and names & files:
            self._session.do(SetAthlete(item.athlete, state.title))
        if item.films[1:] and item.films[0].name in names:
            self._session.further_wanted.emit(item.films[1:])
        self._rest.start()

    def _rest_if_watching(self) -> None:
        if self.folder is not None:
            self._rest.start()

    def _take(self, found: tuple[Looked, tuple[str, ...]]) -> None:
        looked, places = found
        self._looking = False
        if self.folder is None:
            return  # stopped meanwhile
        self._follow_folders(places)
        self._put(looked.items)
        if looked.unsettled:
            QTimer.singleShot(_AGAIN_MS, self, self.look)
        self._once_more()

    def _fail(self, error: Exception) -> None:
        self._looking = False
        self._put(())
        self._messages.warn(
            str(error), Offer("Choose a folder …", self.choose), Offer("Stop watching", self.stop)
        )

    def _once_more(self) -> None:
        if self._again:
            self._again = False
            self._rest.start()

    def _follow_folders(self, places: tuple[str, ...]) -> None:
        watched = set(self._watcher.directories())
        gone, new = sorted(watched - set(places)), sorted(set(places) - watched)
        if gone:
            self._watcher.removePaths(gone)
        if new:
            self._watcher.addPaths(new)

    def _put(self, items: tuple[InboxItem, ...]) -> None:
        if items != self.items:
            self.items = items
            self.changed.emit()


WHY: Final = {
    "names": "Put together by their names.",
    "folder": "Put together because they lie alone in one folder.",
    "time": "",
}


def _known(library: Library) -> Known:
    from app.library.latest import known_recordings

    return known_recordings(library)
