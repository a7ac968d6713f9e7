"""The films of a piece in a list: where each begins and how sure that is; move, add, remove."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from PySide6.QtCore import QObject, QSignalBlocker
from PySide6.QtWidgets import (
    QDialog,
    QDoubleSpinBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.review.parts.films import FARTHEST_S, FurtherFilm, PlaceFilm, RemoveFilm
from app.review.recordings import name_of
from app.review.values.text import clean_name
from app.window.session.further_films import FurtherFilms
from app.window.session.review_session import ReviewSession
from app.window.widgets.clock_text import clock_text
from app.window.widgets.scroll_frame import fit_dialog

WORDS: Final = (
    "Films of one piece are shown as one: each begins at its own second of the first film, and "
    "where none was running there is a gap."
)
# How sure a place is, by what it rests on.
RESTS_ON: Final = {
    "sound": "by what both heard",
    "picture": "by what both heard and saw",
    "force": "by the force under each",
    "recorded": "only by the times of recording: look at the seam",
    "order": "only by its name: how long the gap is nobody knows",
    "by hand": "by hand",
}


class FilmsOfPiece(QObject):
    """Opens the list."""

    def __init__(self, session: ReviewSession, further: FurtherFilms, window: QWidget) -> None:
        super().__init__(window)
        self._session, self._further, self._window = session, further, window

    def show(self) -> None:
        """Show the films of the open review."""
        for old in self._window.findChildren(FilmsDialog):
            old.close()
        FilmsDialog(self._session, self._ask_for_more, self._window).open()

    def _ask_for_more(self) -> None:
        footage = self._session.footage
        folder = "" if footage is None else str(footage.path.parent)
        names, _filter = QFileDialog.getOpenFileNames(
            self._window, "Further films of this piece", folder
        )
        self.add([Path(name) for name in names])

    def add(self, paths: Sequence[Path]) -> None:
        """Lay films beside the first."""
        if paths:
            self._further.add(paths)


class FilmsDialog(QDialog):
    """The list, with what can be done about the film that is chosen in it.

    Attributes
    ----------
    rows : the films, the first one on top
    begins : the second the chosen film begins at
    """

    def __init__(
        self, session: ReviewSession, add: Callable[[], None], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Films of this piece")
        self._session = session
        words = QLabel(WORDS)
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        self.rows = QListWidget()
        self.rows.setAccessibleName("Films of this piece")
        self.rows.setSpacing(2)
        self.begins = QDoubleSpinBox()
        self.begins.setRange(-FARTHEST_S, FARTHEST_S)
        self.begins.setDecimals(2)
        self.begins.setSingleStep(0.04)
        self.begins.setSuffix(" s")
        self.begins.setKeyboardTracking(False)
        self.begins.setAccessibleName("Begins at, seconds of the first film")
        self.add_one = QPushButton("Add films …")
        self.remove = QPushButton("Remove")
        self.remove.setToolTip("Take the film out of the review; the file stays where it is.")
        done = QPushButton("Close")
        done.setDefault(True)
        row = QHBoxLayout()
        row.addWidget(self.add_one)
        row.addWidget(self.remove)
        row.addWidget(QLabel("Begins at"))
        row.addWidget(self.begins)
        row.addStretch(1)
        row.addWidget(done)
        column = QVBoxLayout(self)
        column.addWidget(words)
        column.addWidget(self.rows, 1)
        column.addLayout(row)
        self.rows.currentRowChanged.connect(self._choose)
        self.begins.valueChanged.connect(self._move)
        self.add_one.clicked.connect(add)
        self.remove.clicked.connect(self._remove)
        done.clicked.connect(self.close)
        session.state_changed.connect(self._renew)
        session.recordings_changed.connect(self._renew)
        self._renew()
        fit_dialog(self, 640, 340)

    def _renew(self, *_changed: object) -> None:
        at, state = max(self.rows.currentRow(), 0), self._session.state
        missing = {f.film_id for f in self._session.submission.films if f.path is None}
        with QSignalBlocker(self.rows):
            self.rows.clear()
            if state.video is not None:
                first = clean_name(name_of(state.video.path))
                self.rows.addItem(f"{first}\n    the first: its clock is the review's")
            for film in state.films:
                self.rows.addItem(words_of(film, film.id in missing))
        self.rows.setCurrentRow(min(at, self.rows.count() - 1))
        self._choose()

    @property
    def _film(self) -> FurtherFilm | None:
        """The film chosen, None for the first one."""
        at, films = self.rows.currentRow() - 1, self._session.state.films
        return films[at] if 0 <= at < len(films) else None

    def _choose(self, *_row: int) -> None:
        film = self._film
        self.remove.setEnabled(film is not None)
        self.begins.setEnabled(film is not None)
        with QSignalBlocker(self.begins):
            self.begins.setValue(0.0 if film is None else film.offset_s)

    def _move(self, offset_s: float) -> None:
        film = self._film
        if film is not None and abs(offset_s - film.offset_s) > 1e-3:
            self._session.do(PlaceFilm(film.id, offset_s))

    def _remove(self) -> None:
        film = self._film
        if film is not None:
            self._session.do(RemoveFilm(film.id))


def words_of(film: FurtherFilm, is_missing: bool) -> str:
    """A further film in two lines: its name, and where it lies."""
    name = clean_name(name_of(film.ref.path))
    what = "second view" if film.role == "view" else "another part"
    within = ""
    if film.uncertainty_s is not None:
        within = f" ± {1000.0 * film.uncertainty_s:.0f} ms"
    gone = "; the file is missing" if is_missing else ""
    begins = clock_text(film.offset_s, decimals=2)
    return f"{name}\n    {what}, begins at {begins}{within}, {RESTS_ON[film.how]}{gone}"
