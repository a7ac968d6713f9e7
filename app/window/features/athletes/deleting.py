"""Deleting what the coach said yes to; a review that is open is never taken from under them."""

from __future__ import annotations

from collections.abc import Callable, Collection
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.review.values.text import clean_name
from app.window.features.athletes.deletion_dialog import DeletionDialog, OldRow, files_of_row
from app.window.session.coach_library import CoachLibrary
from app.window.session.review_session import ReviewSession
from app.window.session.settings import Settings, data_folder, default_path
from app.window.tasks.message_line import Messages, Offer

if TYPE_CHECKING:
    from app.library.deleting import Deleted, Places
    from app.library.library import Library


class Deleting(QObject):
    """Deletes in the library's jobs, and says what was done and what remains."""

    def __init__(
        self,
        session: ReviewSession,
        library: CoachLibrary,
        settings: Settings,
        messages: Messages,
    ) -> None:
        super().__init__(session)
        self._settings = settings
        self._session, self._library, self._messages = session, library, messages

    def refuses(self, rows: Collection[OldRow]) -> str:
        """Say that what is open would go, and offer to close it; "" where nothing of it is."""
        review = self._session.review
        if review is None or not any(self._is_open(row, review.path) for row in rows):
            return ""
        name = "The review" if review.path is None else clean_name(review.path.name)
        said = f"{name} is open; close it first (Ctrl+W). Nothing was deleted."
        self._messages.warn(said, Offer("Close it", self._session.close_review))
        return said

    def _is_open(self, row: OldRow, here: Path | None) -> bool:
        """Whether the open review is among what goes, or would bring the athlete back."""
        from app.library.people import name_key

        state, past = self._session.state, row.deletion.past
        if state.review_id in {review.review_id for review in past.reviews}:
            return True
        keys = {name_key(name) for name in (past.athlete.name, *past.names)}
        if row.deletion.whole and name_key(state.athlete) in keys:
            return True
        going = {Path(str(path)).resolve() for path in files_of_row(row)}
        return here is not None and here.resolve() in going

    def delete(
        self,
        rows: Collection[OldRow],
        with_media: bool,
        dialog: Callable[[], DeletionDialog | None],
        done: Callable[[], None],
    ) -> None:
        """Delete what was ticked.

        Parameters
        ----------
        dialog : gives the one to tell, None once it was closed
        done : called when it was deleted
        """
        refused = self.refuses(rows)
        if refused:
            self._tell(dialog(), refused)
            return

        def ask(library: Library) -> tuple[Deleted, ...]:
            from app.library.deleting import delete_athlete

            where = places()
            return tuple(
                delete_athlete(
                    library, row.deletion, where, row.deletion.media if with_media else ()
                )
                for row in rows
            )

        def told(made: tuple[Deleted, ...]) -> None:
            for row in rows:
                self._settings.forget_recent(_reviews_of(row))
            count = sum(len(one.removed) for one in made)
            failed = [failure for one in made for failure in one.failed]
            shown = dialog()
            if shown is not None:
                shown.show_remains(
                    [f"{path} could not be deleted ({why})." for path, why in failed]
                    + list(dict.fromkeys(said for one in made for said in one.remains))
                )
            self._messages.say(f"{count} files and folders were deleted.")
            done()

        def failed(error: Exception) -> None:
            self._tell(dialog(), str(error))
            self._messages.warn(str(error))

        self._library.ask("Deleting", ask, told, failed, writes=True)

    def _tell(self, dialog: DeletionDialog | None, said: str) -> None:
        if dialog is not None:
            dialog.say(said)


def _reviews_of(row: OldRow) -> list[Path]:
    """Where their reviews and versions lay, and where the library last knew them."""
    known = (review.path for review in row.deletion.past.reviews)
    return [Path(str(path)) for path in files_of_row(row)] + [
        Path(path) for path in known if path and "\0" not in path
    ]


def places() -> Places:
    """The folders of this user."""
    from app.files.user_folders import cache_folder
    from app.library.deleting import Places

    return Places(data_folder(), cache_folder(), default_path().parent)
