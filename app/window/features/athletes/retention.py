"""Reviews older than the coach wants to keep: shown, and deleted only on a yes."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from app.window.features.athletes.deleting import Deleting, places
from app.window.features.athletes.deletion_dialog import OldRow
from app.window.features.athletes.retention_dialog import LOOKING, RetentionDialog
from app.window.session.coach_library import CoachLibrary
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from app.library.library import Library
    from app.library.retention import Old


class Retention(QObject):
    """Looks for what is older than the limit, and deletes what the coach says yes to."""

    def __init__(
        self,
        session: ReviewSession,
        library: CoachLibrary,
        messages: Messages,
        deleting: Deleting,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._deleting = deleting
        self._session, self._library, self._messages = session, library, messages
        self._window = window
        self.dialog: RetentionDialog | None = None

    def show(self) -> None:
        """Show the limit, and what is older."""
        if self.dialog is not None:
            self.dialog.raise_()
            return
        dialog = RetentionDialog(self._session.own.now.keep_months, self._window)
        dialog.limit_changed.connect(self._settle)
        dialog.delete_wanted.connect(self._delete)
        dialog.finished.connect(self._closed)
        self.dialog = dialog
        self._look()
        dialog.show()

    def _closed(self) -> None:
        self.dialog = None

    def _show_rows(self, rows: tuple[OldRow, ...]) -> None:
        if self.dialog is not None:
            self.dialog.show_rows(rows)

    def _settle(self, months: int) -> None:
        said = f"Reviews are kept for {months} months." if months else "Reviews have no limit."
        self._session.own.change(lambda mine: replace(mine, keep_months=months), said)
        self._look()

    def _look(self) -> None:
        dialog, months = self.dialog, self._session.own.now.keep_months
        if dialog is None:
            return
        if not months or not self._library.is_there:
            dialog.show_rows(())
            return
        dialog.say_looking(LOOKING)

        def ask(library: Library) -> tuple[OldRow, ...]:
            from app.library.deleting import look
            from app.library.retention import limit_of, older_than

            where = places()
            return tuple(
                OldRow(old, look(library, old.athlete_id, where, only=_only(old)))
                for old in older_than(library, limit_of(months, date.today()))
            )

        self._library.ask("Looking for what is old", ask, self._show_rows, self._warn)

    def _delete(self, rows: Collection[OldRow], with_media: bool) -> None:
        self._deleting.delete(rows, with_media, lambda: self.dialog, self._look)

    def _warn(self, error: Exception) -> None:
        self._messages.warn(str(error))


def _only(old: Old) -> list[str] | None:
    return None if old.whole else [review.review_id for review in old.reviews]
