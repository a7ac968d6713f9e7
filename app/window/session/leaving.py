"""A review is left when it is saved, or when the coach has said what to do about it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QAbstractButton, QMessageBox, QWidget

from app.review.values.text import clean_name
from app.window.session.safekeeping import Safekeeping, after_name
from app.window.session.saving_as import SavingAs
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.tasks.message_line import Messages
from app.window.widgets.open_question import OpenQuestion, question_box

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState
    from app.review.review import Review

QUICK_S = 0.3  # a saving that ends within this time needs no word
PATIENCE_MS = 4000  # so long a disk may take before the coach is asked
SLOW = "its disk does not answer."
SAVE_AS, AGAIN, STAY = "Save as …", "Try again", "Cancel"
KEEP_COPY = "Close, keep the copy"
NO_COPY = "There is no copy of your work so far."


def _told_of(copy: Path) -> str:
    return f"All your work is in a copy: {copy.name}, in {copy.parent}."


def _nothing() -> None:
    return None


class Leaving(QObject):
    """Lets others leave the open review, now or as soon as that costs no work."""

    def __init__(
        self,
        safe: Safekeeping,
        saving_as: SavingAs,
        jobs: Jobs,
        messages: Messages,
        window: QWidget | None,
    ) -> None:
        super().__init__(window)
        self._safe, self._saving_as, self._jobs = safe, saving_as, jobs
        self._messages, self._window = messages, window
        self._then: Callable[[], None] | None = None
        self._otherwise: Callable[[], None] = _nothing
        self._given_up: tuple[Review, ReviewState] | None = None
        self._copying: object | None = None  # a copy is being made before asking
        self._asked_without: object | None = None  # the copy that may come while it is asked
        self._asked = OpenQuestion()
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(PATIENCE_MS)
        self._patience.timeout.connect(self._lose_patience)
        safe.changed.connect(self._look)

    @property
    def question(self) -> QMessageBox | None:
        """What is asked now, None while nothing is."""
        return self._asked.box

    def is_free(self, patience_s: float = QUICK_S) -> bool:
        """Whether the review can be left now; waits so long at the most for what is on its way."""
        review = self._safe.review
        if review is None or self._safe.hurry(patience_s):
            return True
        return self._given_up == (review, review.state)

    def begin(self, then: Callable[[], None], otherwise: Callable[[], None] = _nothing) -> None:
        """Call `then` once the review may be left, `otherwise` if the coach stays with it."""
        if self.is_free():
            self._forget()
            then()
            return
        self._then, self._otherwise = then, otherwise
        self._messages.say("Saving …")
        self._try()

    def _try(self) -> None:
        self._safe.hurry()
        self._patience.start()

    def _look(self) -> None:
        """Something became of the saving that is waited for."""
        if self._then is None or self._copying is not None:
            return
        if not self._safe.unsaved:
            self._go()
        elif self._safe.reason and self._patience.isActive():
            self._lose_patience()

    def _lose_patience(self) -> None:
        """Before asking: all that is unsaved goes into a copy, if there is any room for one."""
        self._patience.stop()
        review = self._safe.review
        if self._then is None or review is None or self.question is not None:
            return
        turn = self._copying = object()
        state = review.state

        def work(progress: Progress, cancelled: Cancelled) -> Path | None:
            return review.lay_aside()

        def ask(copy: Path | None) -> None:
            if turn is not self._copying:
                if copy is not None and turn is self._asked_without:
                    self._tell_of(copy)
                return  # asked already
            self._copying, self._asked_without = None, turn
            if self._then is not None and review is self._safe.review:
                self._ask(review, state, copy)

        self._jobs.run("Keeping a copy", work, ask, lambda _error: ask(None))
        # A disk that does not answer must not keep the coach from being asked.
        QTimer.singleShot(PATIENCE_MS, self, lambda: ask(None))

    def _ask(self, review: Review, state: ReviewState, copy: Path | None) -> None:
        if not review.unsaved:
            self._go()
            return
        name = clean_name(review.path.name) if review.path is not None else "The review"
        reason = self._safe.reason or SLOW
        box = question_box(
            self._window,
            "Not saved",
            f"{name} could not be saved: {after_name(reason, name)}",
            _told_of(copy) if copy else NO_COPY,
        )
        box.setIcon(QMessageBox.Icon.Warning)
        since = self._safe.unsaved_since
        lose = f"Close and lose the changes since {since:%H:%M}" if since else "Close and lose them"
        save_as = box.addButton(SAVE_AS, QMessageBox.ButtonRole.ActionRole)
        box.setDefaultButton(save_as)
        answers: dict[QAbstractButton, Callable[[], None]] = {
            save_as: self._save_as,
            box.addButton(AGAIN, QMessageBox.ButtonRole.ActionRole): self._try,
            box.addButton(
                KEEP_COPY if copy else lose, QMessageBox.ButtonRole.DestructiveRole
            ): lambda: self._give_up(review, state),
        }
        stay = box.addButton(STAY, QMessageBox.ButtonRole.RejectRole)
        box.setEscapeButton(stay)
        self._asked.ask(box, answers, self._stay)

    def _tell_of(self, copy: Path) -> None:
        """A copy was made after all while it was asked: closing loses nothing any more."""
        box = self.question
        if box is None:
            return
        box.setInformativeText(_told_of(copy))
        for button in box.buttons():
            if box.buttonRole(button) == QMessageBox.ButtonRole.DestructiveRole:
                button.setText(KEEP_COPY)

    def _save_as(self) -> None:
        def done(is_done: bool) -> None:
            if is_done:
                self._try()
            else:
                self._lose_patience()  # ask again

        self._saving_as.begin(done)

    def _give_up(self, review: Review, state: ReviewState) -> None:
        """The coach closes without saving; what came in since the copy was made is asked about."""
        if review is self._safe.review and review.state is state:
            self._given_up = (review, state)
            self._go()
        else:
            self._try()

    def _stay(self) -> None:
        otherwise = self._otherwise
        self._forget()
        self._safe.remind()
        otherwise()

    def _go(self) -> None:
        then = self._then
        self._forget()
        if then is not None:
            then()

    def _forget(self) -> None:
        """Nobody waits to leave any more."""
        self._patience.stop()
        self._then, self._otherwise = None, _nothing
        self._copying = self._asked_without = None
        self._asked.drop()
