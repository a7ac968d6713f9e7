"""*My defaults* as the window has them: changed for all reviews, and told to who shows them."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from app.review.values.errors import ReviewError
from app.submission.my_defaults import MyDefaults, change_defaults, read_defaults
from app.window.tasks.message_line import Messages


class OwnDefaults(QObject):
    """What the coach settled for all reviews.

    Parameters
    ----------
    put : lets the open review be judged by them
    """

    changed = Signal()

    def __init__(
        self, messages: Messages, put: Callable[[MyDefaults], None], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._messages = messages
        self._put = put

    @property
    def now(self) -> MyDefaults:
        """As they lie in the file, which another window may have changed."""
        return read_defaults()

    def change(self, change: Callable[[MyDefaults], MyDefaults], said: str) -> bool:
        """Change them for all reviews; say that it is done, or why it is not.

        Returns
        -------
        Whether they were kept.
        """
        try:
            new = change_defaults(change)
        except ReviewError as error:
            self._messages.warn(str(error))
            return False
        self._put(new)
        self.changed.emit()
        self._messages.say(said)
        return True
