"""Every voice of the open review written down by itself, one at a time, in a child process."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject, Signal

from app.review.parts.spoken_words import SpokenText, WriteDown, sounds_of, spoken_of
from app.review.values.errors import ReviewError
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from app.review.parts.spoken_words import SpokenWord
    from app.review.review import Review

ENGLISH: Final = "en"
WRITING: Final = "Writing the voice down …"
OTHER_LANGUAGE: Final = (
    "Only English is written down by itself; type what you say in another language."
)
SWITCHED_OFF: Final = "Voices are not written down; switch it on in the menu Settings."
NO_WORDS: Final = "No words were heard in this voice."
WAITING: Final = "This voice will be written down next."


def can_write_down() -> bool:
    """Whether a voice can be written down on this machine."""
    from app.speech.engine import can_write_down as is_here

    return is_here()


class WritingDown(QObject):
    """Writes down what was spoken and is not in words yet; its words are a draft.

    Attributes
    ----------
    changed : what is being written down, or why nothing is, is another now
    """

    changed = Signal()

    def __init__(
        self,
        session: ReviewSession,
        jobs: Jobs,
        messages: Messages,
        settings: Settings,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._session, self._jobs, self._messages = session, jobs, messages
        self._settings = settings
        self._job: Job | None = None
        self._sound = ""
        self._tried: set[str] = set()  # in this window: what failed or was taken back stays so
        session.state_changed.connect(lambda *_states: self.look())

    @property
    def is_on(self) -> bool:
        """Whether voices are written down without being asked."""
        return self._settings.writes_voices_down

    def turn(self) -> None:
        """Write voices down by themselves, or no longer."""
        self._settings.writes_voices_down = not self.is_on
        if not self.is_on and self._job is not None:
            self._job.cancel()
            self._tried.discard(self._sound)
            self._job, self._sound = None, ""
        self._messages.say(
            "What you speak is written down by itself, as a draft you read."
            if self.is_on
            else "What you speak is no longer written down by itself."
        )
        self.look()
        self.changed.emit()

    @property
    def can_now(self) -> bool:
        """Whether a voice could be written down at once."""
        return self._job is None and can_write_down() and self._is_english

    def why_not(self, sound_id: str) -> str:
        """What is said of a voice that is not in words: what happens with it, or why nothing."""
        from app.speech.engine import NOT_SET_UP

        if self._job is not None and sound_id == self._sound:
            return WRITING
        if not can_write_down():
            return NOT_SET_UP
        if not self._is_english:
            return OTHER_LANGUAGE
        if sound_id in self._tried:
            return NO_WORDS
        return WAITING if self.is_on else SWITCHED_OFF

    def again(self, sound_id: str) -> None:
        """Write a voice down now, also one that was tried."""
        self._tried.discard(sound_id)
        if self.can_now:
            self._begin(sound_id)
        self.changed.emit()

    def look(self) -> None:
        """Begin with the next voice that has no words."""
        review = self._session.review
        if review is None or self._job is not None or not self.is_on or not self._is_english:
            return
        state = self._session.state
        waiting = (s for s in sorted(sounds_of(state) - self._tried) if not spoken_of(state, s))
        sound_id = next(waiting, "")
        if sound_id and can_write_down():
            self._begin(sound_id)

    @property
    def _is_english(self) -> bool:
        return self._session.state.sending.language.split("-")[0] == ENGLISH

    def _begin(self, sound_id: str) -> None:
        review = self._session.review
        if review is None:
            return
        self._tried.add(sound_id)
        try:
            wav = review.sound(sound_id)
        except ReviewError:
            return  # said already where the voice is heard
        from app.speech.writing_down import WRITE_DOWN

        names, pool = _names(self._session.state.athlete), self._jobs.process_pool

        def work(progress: Progress, cancelled: Cancelled) -> tuple[SpokenWord, ...]:
            words: tuple[SpokenWord, ...] = pool.call(WRITE_DOWN, (wav, names), progress, cancelled)
            return words

        def take(words: tuple[SpokenWord, ...]) -> None:
            self._end()
            self._keep(review, SpokenText(sound_id, words, ENGLISH))
            self.look()

        self._sound = sound_id
        self._job = self._jobs.run("Writing a voice down", work, take, self._refuse)
        self._job.ended.connect(self._forget)
        self.changed.emit()

    def _keep(self, review: Review, spoken: SpokenText) -> None:
        if review is not self._session.review or spoken.sound_id not in sounds_of(review.state):
            return  # another review is open by now, or the voice is gone
        if spoken.words:
            self._session.do(WriteDown(spoken))
        else:
            self.changed.emit()

    def _refuse(self, error: Exception) -> None:
        self._end()
        self._messages.warn(str(error))
        self.changed.emit()

    def _forget(self, job: Job) -> None:
        """One that was cancelled calls nobody else."""
        if job is self._job and job.is_cancelled:
            self._end()
            self.changed.emit()

    def _end(self) -> None:
        self._job, self._sound = None, ""


def _names(athlete: str) -> tuple[str, ...]:
    """The parts of the athlete's name that can be called."""
    return tuple(re.findall(r"[^\W\d_]{3,}", athlete))
