"""The open review is saved while the coach works: how far that is, and what came in meanwhile."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, QTimer, Signal

from app.review.parts.state import ReviewState
from app.review.saver import SaveStatus, Saving
from app.review.values.text import clean_name
from app.window.session.settings import data_folder
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.review.merging import Merged
    from app.review.review import Review

SHOWN_AFTER_MS = 400  # a saving that takes no longer is not worth a flicker
SAVED, UNDER_WAY, NOT_SAVED = "Saved", "Saving …", "Not saved"


class Safekeeping(QObject):
    """Watches over the savings of one review at a time.

    Attributes
    ----------
    offers : what can be done about a review that cannot be saved
    """

    changed = Signal()  # how the review stands
    renamed = Signal()  # the review lies under another name now
    _told = Signal(object, object)  # Review, SaveStatus: from the thread that saves
    _merged = Signal(object, object, bool)  # Review, Merged, answers came: from whichever thread

    def __init__(self, messages: Messages, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._messages = messages
        self.offers: tuple[Offer, ...] = ()
        self._review: Review | None = None
        self._status = SaveStatus(Saving.SAVED)
        self._since: datetime | None = None
        self._said = ""
        self._answers = 0  # how many the review held when it was looked at last
        self._path: Path | None = None
        self._unsubscribe: Callable[[], None] = lambda: None
        self._slow = QTimer(self)
        self._slow.setSingleShot(True)
        self._slow.setInterval(SHOWN_AFTER_MS)
        self._slow.timeout.connect(self.changed)
        queued = Qt.ConnectionType.QueuedConnection
        self._told.connect(self._take_status, queued)
        self._merged.connect(self._tell_merged, queued)

    @property
    def review(self) -> Review | None:
        """The review that is watched over."""
        return self._review

    @property
    def unsaved(self) -> bool:
        """Whether something is not in the file yet."""
        return self._review is not None and self._review.unsaved

    @property
    def unsaved_since(self) -> datetime | None:
        """When the first change was made that is not in the file, None where all is."""
        return self._since if self.unsaved else None

    @property
    def reason(self) -> str:
        """Why it could not be saved when that was tried last, "" where nothing is amiss."""
        problem = self._status.problem
        amiss = self.unsaved and self._status.saving in (Saving.FAILED, Saving.WAITING)
        return str(problem) if amiss and problem is not None else ""

    @property
    def words(self) -> str:
        """How the review stands, as the bottom line shows it; "" without a review."""
        if self._review is None:
            return ""
        if self.reason:
            name = self._review.path.name if self._review.path is not None else ""
            return f"{NOT_SAVED}: {after_name(self.reason, clean_name(name))}"
        return UNDER_WAY if self.unsaved and not self._slow.isActive() else SAVED

    def watch(self, review: Review) -> None:
        """Save this review in the background from now on."""
        self.let_go()
        self._review, self._path = review, review.path
        self._status, self._said = SaveStatus(Saving.SAVED), ""
        self._since = datetime.now() if review.unsaved else None
        review.on_save_error = self._warn
        review.on_merge = self._merge_teller(review)
        self._answers = len(review.state.answers)
        self._unsubscribe = review.subscribe(self._note)
        review.save_in_background(self._teller(review))
        self.changed.emit()

    def let_go(self) -> threading.Thread | None:
        """Close the review in a thread of its own; nobody may use it any more."""
        review, self._review = self._review, None
        if review is None:
            return None
        self._unsubscribe()
        review.on_save_error = lambda _sentence: None
        self._slow.stop()
        self._since = None
        closing = threading.Thread(target=review.close, name="closing a review", daemon=True)
        closing.start()
        self.changed.emit()
        return closing

    def hurry(self, patience_s: float = 0.0) -> bool:
        """Try to save now, waiting so long at the most; True when all is saved."""
        review = self._review
        if review is None or not review.unsaved:
            return True
        review.save(patience_s)
        return not review.unsaved

    def remind(self) -> None:
        """Say again what keeps the review from being saved, with the next try."""
        self._said = ""

    def follow_name(self) -> None:
        """See whether the file has another name now."""
        path = self._review.path if self._review is not None else None
        if path != self._path:
            self._path = path
            self.renamed.emit()

    def _teller(self, review: Review) -> Callable[[SaveStatus], None]:
        def tell(status: SaveStatus) -> None:
            with contextlib.suppress(RuntimeError):  # the window may be gone by then
                self._told.emit(review, status)

        return tell

    def _merge_teller(self, review: Review) -> Callable[[Merged], None]:
        def tell(both: Merged) -> None:
            with contextlib.suppress(RuntimeError):
                self._merged.emit(review, both, len(both.state.answers) > self._answers)

        return tell

    def _take_status(self, review: Review, status: SaveStatus) -> None:
        if review is not self._review:
            return
        self._status = status
        review.settle(status)
        if not review.unsaved:
            self._since = None
            if self._said and review.path is not None:
                self._said = ""
                self._messages.say(f"Everything is saved in {clean_name(review.path.name)} again.")
        self.follow_name()
        self.changed.emit()

    def _note(self, state: ReviewState, _before: ReviewState) -> None:
        self._answers = len(state.answers)
        if self._since is None:
            self._since = datetime.now()
            self._slow.start()
            self.changed.emit()

    def _warn(self, sentence: str) -> None:
        """Say what keeps the review from being saved, once and not with every try."""
        if sentence != self._said:
            self._said = sentence
            self._messages.warn(sentence, *self.offers)

    def _tell_merged(self, review: Review, both: Merged, answers_came: bool) -> None:
        if review.path is not None:
            self._messages.warn(merge_sentence(review.path.name, both, answers_came))


def after_name(reason: str, name: str) -> str:
    """A reason without the name and the verb that stand before it already."""
    for verb in ("saved", "opened"):
        for start in (f"{name} could not be {verb} because ", f"{name} could not be {verb}: "):
            if reason.startswith(start):
                return reason[len(start) :]
    if name and reason.startswith(f"{name} is "):
        return f"it{reason[len(name) :]}"
    return reason


def copies_of(review: Path) -> tuple[Path, ...]:
    """Copies that hold what could not be saved in a review, the newest last."""
    from app.review.free_name import short_stem
    from app.review.rescue import rescued

    start = f"{short_stem(review)} (rescued "
    places = (review.parent, data_folder() / "rescued")
    return tuple(
        copy
        for copy in rescued(data_folder())
        if copy.name.startswith(start) and copy.parent in places and copy != review
    )


def merge_sentence(name: str, both: Merged, answers_came: bool) -> str:
    """What became of what another program saved meanwhile."""
    name = clean_name(name)
    said = [f"Another program changed {name} meanwhile; its changes and yours are both in it now."]
    if answers_came:
        said = [
            "Answers came in from another program; they and your changes are all in the review now."
        ]
    if both.doubled == 1:
        said.append("One thing was changed in both and is there twice: keep the one you want.")
    elif both.doubled:
        said.append(
            f"{both.doubled} things were changed in both and are there twice: keep those you want."
        )
    if both.overruled:
        kept = f" what the other program wrote lies in {both.copy.name}." if both.copy else ""
        said.append(f"What both had set stands as you set it;{kept or ' the other one is gone.'}")
    return " ".join(said)
