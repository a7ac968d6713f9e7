"""When the athletes are shown, what is asked of the library, and opening the next review."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QFileDialog

from app.review.values.text import plain
from app.window.features.athletes.athletes_page import AthletesPage
from app.window.features.athletes.standing_words import wanted_of
from app.window.session.coach_library import CoachLibrary
from app.window.session.known_recordings import access
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages, Offer
from app.window.views.stage import Stage

if TYPE_CHECKING:
    from app.library.latest import Latest
    from app.library.library import Library
    from app.library.overview import Order, Standing
    from app.library.rebuild import Rebuilt

Found = tuple[tuple["Standing", ...], dict[str, "Latest"]]


def _nothing() -> None:
    return None


class FirstScreen(QObject):
    """Stands on the stage while no review is open, where the library has athletes."""

    def __init__(
        self,
        session: ReviewSession,
        library: CoachLibrary,
        stage: Stage,
        messages: Messages,
    ) -> None:
        super().__init__(session)
        self._session, self._library = session, library
        self._stage, self._messages = stage, messages
        self.page = AthletesPage()
        self._turn = 0
        self._inbox_is_full = False
        self._opened = ""  # the athlete gone on with last
        self._is_empty: bool | None = None  # None while that is not known
        self._otherwise: Callable[[], None] = _nothing
        stage.addWidget(self.page)
        self.page.asked.connect(self.renew)
        self.page.chosen.connect(self.go_on_with)
        self.page.left.connect(self.leave)
        session.first_frame.connect(lambda _frame: self._away())
        session.opened.connect(self._away)
        library.changed.connect(self._library_changed)

    @property
    def is_shown(self) -> bool:
        """Whether it stands on the stage."""
        return self._stage.currentWidget() is self.page

    @property
    def chosen(self) -> Standing | None:
        """The athlete that is chosen, where the coach sees them; never one chosen before."""
        return self.page.current if self.is_shown and not self.page.table.isHidden() else None

    def take_turns(self) -> None:
        """Come whenever the bench is empty; after the page that says how to begin did."""
        self._session.recordings_changed.connect(self._follow)

    def show_what_came(self, anything: bool) -> None:
        """Come to the front on an empty bench when something lies in the inbox."""
        self._inbox_is_full = anything
        if anything and self._bench_is_empty() and not self.is_shown:
            self.show()

    def begin(self, otherwise: Callable[[], None]) -> None:
        """Show the athletes when the window has come up, or do what is done without any."""
        if not self._library.is_there:
            otherwise()
            return
        self._otherwise = otherwise
        self.show()

    def toggle(self) -> None:
        """Show the athletes, or what was there before."""
        if self.is_shown:
            self.leave()
        else:
            self.show()

    def show(self) -> None:
        """Come to the front, with what the library says now."""
        self._stage.setCurrentWidget(self.page)
        self.page.search.setFocus(Qt.FocusReason.OtherFocusReason)
        self.renew()

    def leave(self) -> None:
        """Go back to the review, or to the page that says how to begin."""
        if self._bench_is_empty():
            self._stage.welcome_back()
        else:
            self._away()

    def renew(self) -> None:
        """Ask the library for what is looked for."""
        self._turn += 1
        turn, page = self._turn, self.page
        order, text, silent = page.wanted_order, page.search.text(), page.only_silent
        if not self._library.is_there:
            self._take(turn, text, silent, ((), {}))
            return

        def ask(library: Library) -> Found:
            return _look(library, order, text)

        self._library.ask(
            "Reading the library",
            ask,
            lambda found: self._take(turn, text, silent, found),
            lambda error: self._fail(turn, error),
        )

    def go_on_with(self, one: Standing) -> None:
        """Open the review of an athlete that came in last, wherever it lies by now."""
        latest = self.page.rows.latest_of(one)
        name = plain(one.athlete.name)
        if latest is None:
            self._messages.say(f"There is no review of {name} yet; drop what they sent here.")
            return
        self._opened = one.athlete.id
        last = Path(latest.path) if latest.path else None

        def find(_library: Library) -> Path | None:
            from app.library.files import locate

            near = [] if last is None or not last.parent.is_dir() else [last.parent]
            return locate(latest.review_id, last, near)

        def found(path: Path | None) -> None:
            if path is not None:
                self._session.open_review(path)
                return
            self._messages.warn(
                f"{plain(last.name) if last else 'The review'} of {name} is not where it was; open "
                "it where it lies now (Ctrl+O), and the library knows it again."
            )

        self._library.ask("Finding the review", find, found, self._warn)

    def open_next(self) -> None:
        """Open what waits longest, whatever is looked for just now."""

        def ask(library: Library) -> Found:
            rows, latest = _look(library, "waiting", "")
            waits = [one for one in rows if one.waits_since and one.athlete.id in latest]
            others = [one for one in waits if one.athlete.id != self._opened]
            return tuple((others or waits)[:1]), latest

        def take(found: Found) -> None:
            if not found[0]:
                self._messages.say("Nothing waits: whatever came in was answered.")
                return
            self.page.rows.show(*found, date.today())
            self.go_on_with(found[0][0])

        if self._library.is_there:
            self._library.ask("Looking for what waits", ask, take, self._warn)
        else:
            self._messages.say("Nothing waits: no athlete is in the library yet.")

    def take_in_reviews(self) -> None:
        """Have the coach name a folder of reviews and read all of them into the library."""
        name = QFileDialog.getExistingDirectory(self.page, "Take in the reviews of a folder")
        if name:
            self.take_in(Path(name))

    def take_in(self, folder: Path) -> None:
        """Read the reviews of a folder into the library."""

        def read(library: Library) -> Rebuilt:
            from app.library.rebuild import rebuild

            return rebuild(library, folder, access())

        self._messages.say(f"Taking in the reviews of {plain(folder.name)} …")
        self._library.ask("Taking in reviews", read, self._taken_in, self._warn, writes=True)

    def _taken_in(self, made: Rebuilt) -> None:
        told = made.recorded
        count = len(told.added) + len(told.changed) + len(told.unchanged)
        said = f"{count} reviews are in the library."
        if told.unnamed:
            said += f" {len(told.unnamed)} name no athlete and were left out."
        if made.unread:
            said += f" {len(made.unread)} could not be read."
        self._messages.say(said)

    def _follow(self) -> None:
        if self._bench_is_empty():
            if self._inbox_is_full or (self._library.is_there and not self._is_empty):
                self.show()
        else:
            self._away()

    def _bench_is_empty(self) -> bool:
        session = self._session
        shown = session.footage is not None or session.submission.piece is not None
        return not shown and session.review is None

    def _away(self) -> None:
        if self.is_shown:
            self._stage.go_home()

    def _library_changed(self) -> None:
        self._is_empty = None
        if self.is_shown:
            self.renew()

    def _take(self, turn: int, text: str, silent: bool, found: Found) -> None:
        if turn != self._turn:
            return
        rows, latest = found
        if not text.strip():
            self._is_empty = not rows
        if silent:
            rows = tuple(sorted((one for one in rows if one.is_silent), key=lambda o: o.last_told))
        self.page.show_rows(rows, latest, date.today())
        if self._opened:
            self.page.go_to_next(self._opened)
            self._opened = ""
        otherwise, self._otherwise = self._otherwise, _nothing
        if self._is_empty and otherwise is not _nothing:
            self.leave()
            otherwise()

    def _fail(self, turn: int, error: Exception) -> None:
        if turn != self._turn:
            return
        otherwise, self._otherwise = self._otherwise, _nothing
        self.page.say(str(error))
        self._is_empty = True  # the bench is of use without it
        self._messages.warn(str(error), Offer("Try again", self.show))
        if otherwise is not _nothing:
            self.leave()
            otherwise()

    def _warn(self, error: Exception) -> None:
        self._messages.warn(str(error))


def _look(library: Library, order: Order, text: str) -> Found:
    from app.library.latest import latest
    from app.library.overview import athletes

    return athletes(library, order, wanted_of(text)), latest(library)
