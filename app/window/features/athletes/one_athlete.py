"""Everything about the athlete chosen on the first screen: saved as one file, or deleted."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING, Final

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog

from app.review.values.text import clean_name, plain
from app.window.features.athletes.athlete_dialog import AthleteDialog
from app.window.features.athletes.deleting import Deleting, places
from app.window.features.athletes.deletion_dialog import OldRow
from app.window.features.athletes.first_screen import FirstScreen
from app.window.session.coach_library import CoachLibrary
from app.window.session.known_recordings import access
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Job
from app.window.tasks.message_line import Messages

if TYPE_CHECKING:
    from app.library.exporting import Exported
    from app.library.library import Library
    from app.library.overview import Standing
    from app.library.people import Athlete

CHOOSE: Final = "Choose the athlete in the list first."
_NOT_IN_NAMES: Final = '<>:"/\\|?*'


class OneAthlete(QObject):
    """Saves or deletes what there is of the athlete the coach has chosen and sees.

    Attributes
    ----------
    dialog : shows what would go, None while it is closed
    """

    def __init__(
        self,
        session: ReviewSession,
        library: CoachLibrary,
        messages: Messages,
        deleting: Deleting,
        screen: FirstScreen,
    ) -> None:
        super().__init__(screen)
        self._session, self._library, self._messages = session, library, messages
        self._deleting, self._screen = deleting, screen
        self.dialog: AthleteDialog | None = None

    def delete(self) -> None:
        """Look for what there is of the athlete, and show what would go."""
        if self.dialog is not None:
            self.dialog.raise_()
            return
        one = self._chosen()
        if one is None:
            return
        athlete = one.athlete
        self._messages.say(f"Looking for what there is of {plain(athlete.name)} …")
        self._library.ask(
            "Looking for what there is", lambda library: _row(library, athlete), self._show,
            self._warn,
        )  # fmt: skip

    def save(self) -> None:
        """Ask for the file to write everything about the athlete into."""
        one = self._chosen()
        if one is None:
            return
        name = plain(one.athlete.name)
        stem = "".join("_" if c in _NOT_IN_NAMES else c for c in name).strip(" .") or "athlete"
        told, _filter = QFileDialog.getSaveFileName(
            self._screen.page.window(), f"Save all about {name}",
            str(Path.home() / f"{stem}.zip"), "All about an athlete (*.zip)",
        )  # fmt: skip
        if told:
            path = Path(told)
            # A name to which the ending is added is one the dialog did not ask about.
            self.write(one.athlete, path, replace=path.suffix.lower() == ".zip")

    def write(self, athlete: Athlete, target: Path, replace: bool = False) -> None:
        """Write the archive once the open review is in its file; nothing else is changed."""

        def begin() -> None:
            self._write(athlete, target, replace)

        review = self._session.review
        if review is None:
            begin()
        else:
            review.when_saved(begin)

    def _write(self, athlete: Athlete, target: Path, replace: bool) -> None:
        job: list[Job] = []

        def ask(library: Library) -> Exported:
            from app.library.exporting import export_athlete

            return export_athlete(
                library, athlete.id, target, access(), replace=replace,
                cancelled=lambda: bool(job) and job[0].is_cancelled,
            )  # fmt: skip

        def done(made: Exported) -> None:
            said = f"{clean_name(made.path.name)} holds all about {plain(athlete.name)}"
            if made.missing:
                self._messages.warn(f"{said} that was found. {' '.join(made.missing)}")
            else:
                self._messages.say(f"{said} ({made.bytes / 1e6:.1f} MB).")

        title = f"Saving all about {plain(athlete.name)}"
        job.append(self._library.ask(title, ask, done, self._warn, is_wanted=True))

    def _chosen(self) -> Standing | None:
        """The athlete that is chosen; where there is none it is said."""
        one = self._screen.chosen
        if one is None:
            self._messages.say(CHOOSE)
        return one

    def _show(self, row: OldRow) -> None:
        if self.dialog is not None or self._deleting.refuses([row]):
            return
        dialog = AthleteDialog(row, self._screen.page.window())
        dialog.delete_wanted.connect(self._delete)
        dialog.finished.connect(self._closed)
        self.dialog = dialog
        self._messages.say(f"Nothing of {plain(row.old.name)} goes before your yes.")
        dialog.show()

    def _delete(self, rows: Collection[OldRow], with_media: bool) -> None:
        self._deleting.delete(rows, with_media, lambda: self.dialog, self._deleted)

    def _deleted(self) -> None:
        if self.dialog is not None:
            self.dialog.show_done()

    def _closed(self) -> None:
        self.dialog = None

    def _warn(self, error: Exception) -> None:
        self._messages.warn(str(error))


def _row(library: Library, athlete: Athlete) -> OldRow:
    from app.library.deleting import look
    from app.library.retention import Old, OldReview

    found = look(library, athlete.id, places())
    reviews = tuple(
        OldReview(one.review_id, one.title, one.path, one.when[:10]) for one in found.past.reviews
    )
    return OldRow(Old(athlete.id, athlete.name, reviews, True), found)
