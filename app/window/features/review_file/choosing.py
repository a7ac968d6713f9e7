"""Several films and force files at once: pairs are proposed, and the coach picks what to open."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.review.values.text import clean_name
from app.submission.joined import join_tables, joined_proposal, write_joined
from app.submission.pairing import Proposal, look_into, one_piece, propose
from app.window.session.further_films import FurtherFilms
from app.window.session.review_session import ReviewSession
from app.window.tasks.jobs import Cancelled, Job, Jobs, Progress
from app.window.tasks.message_line import Messages
from app.window.widgets.scroll_frame import fit_dialog

WORDS = (
    "One film and one force file make a review. These probably belong together; the others stay "
    "where they are and can be opened afterwards."
)
ALONE = (
    "One film and one force file make a review, and nothing here says which belong together. "
    "Open one; the other of its pair can be dropped on it then."
)
TOGETHER = (
    "Nothing here says which film and which force file belong together. Films of one piece open "
    "together, with its force; of other pieces open one, and drop the other of its pair on it then."
)
JOINED = (
    "These force files are of one piece and are opened as one, joined into a new file beside them; "
    "those that were sent stay as they are. Or open one of the others."
)
FILMS = "These are films, without a force file. Open one; its force file can be dropped on it then."
FORCES = "These are force files, without a film. Open one; its film can be dropped on it then."


class Choosing(QObject):
    """Looks into the files off the window's thread, then asks."""

    def __init__(
        self,
        session: ReviewSession,
        jobs: Jobs,
        messages: Messages,
        window: QWidget,
        further: FurtherFilms,
    ) -> None:
        super().__init__(window)
        self._session, self._jobs, self._messages, self._window = session, jobs, messages, window
        self._further = further
        self._job: Job | None = None
        session.choice_wanted.connect(self.ask)

    def ask(self, paths: Sequence[Path]) -> None:
        """Propose what belongs together and let the coach open one."""
        reviews = tuple(p for p in paths if p.suffix.lower() == ".review")
        others = tuple(p for p in paths if p not in reviews)

        def work(progress: Progress, cancelled: Cancelled) -> tuple[Proposal, ...]:
            files = look_into(others, progress, cancelled)
            together = one_piece(files)
            joint = joined_proposal(others)
            first, last = ((p,) if p is not None else () for p in (joint, together))
            return (*first, *propose(files, reviews), *last)

        if self._job is not None:
            self._job.cancel()
        self._job = self._jobs.run(
            "Looking at what came", work, self._show, lambda e: self._messages.warn(str(e))
        )

    def _show(self, proposals: tuple[Proposal, ...]) -> None:
        self._job = None
        for old in self._window.findChildren(ChoiceDialog):
            old.close()
        if len(proposals) == 1:
            self._open(proposals[0])
        else:
            ChoiceDialog(proposals, self._open, self._window).open()

    def _open(self, proposal: Proposal) -> None:
        if proposal.more and proposal.video is not None:
            self._further.begin_together((proposal.video, *proposal.more), proposal.trace)
        elif proposal.joins:
            self._join(proposal)
        else:
            self._session.open_paths(proposal.paths)

    def _join(self, proposal: Proposal) -> None:
        """Write one force file of several beside them, and open that."""
        first = proposal.joins[0]

        def work(progress: Progress, cancelled: Cancelled) -> Path:
            joined = join_tables(proposal.joins)
            return write_joined(joined, first.parent, first.stem) if joined.table else first

        def use(made: Path) -> None:
            self._messages.say(proposal.why)
            self._session.open_paths((*proposal.paths, made))

        self._jobs.run("Joining the force files", work, use, lambda e: self._messages.warn(str(e)))


class ChoiceDialog(QDialog):
    """What could be opened, a line each; Return or a double click opens one.

    Attributes
    ----------
    rows : the lines, in the order of the proposals
    """

    def __init__(
        self,
        proposals: Sequence[Proposal],
        open_it: Callable[[Proposal], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Which piece?")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._open = open_it
        self._proposals = tuple(proposals)
        words = QLabel(_asking(self._proposals))
        words.setWordWrap(True)
        words.setProperty("role", "quiet")
        self.rows = QListWidget()
        self.rows.setAccessibleName("What can be opened")
        self.rows.setSpacing(2)
        self.rows.setWordWrap(True)
        self.rows.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        for proposal in self._proposals:
            item = QListWidgetItem(words_of(proposal))
            item.setToolTip("\n".join(str(path) for path in _files(proposal)))
            self.rows.addItem(item)
        likely = (i for i, p in enumerate(proposals) if p.joins or (p.video and p.trace))
        first = next(likely, 0)
        self.rows.setCurrentRow(first)
        self.open_it = QPushButton("Open")
        self.open_it.setProperty("role", "first")
        self.open_it.setDefault(True)
        leave = QPushButton("Cancel")
        leave.setAutoDefault(False)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self.open_it)
        row.addWidget(leave)
        column = QVBoxLayout(self)
        column.addWidget(words)
        column.addWidget(self.rows, 1)
        column.addLayout(row)
        self.open_it.clicked.connect(self._take)
        self.rows.itemDoubleClicked.connect(lambda _item: self._take())
        leave.clicked.connect(self.close)
        fit_dialog(self, 640, 380)

    def _take(self) -> None:
        at = self.rows.currentRow()
        self.close()
        if at >= 0:
            self._open(self._proposals[at])


def _asking(proposals: Sequence[Proposal]) -> str:
    """What the coach is told before the list: only of pairs where there could be one."""
    if any(p.joins for p in proposals):
        return JOINED
    if any(p.video and p.trace and not p.more for p in proposals):
        return WORDS
    if any(p.more and p.trace for p in proposals):
        return TOGETHER
    films, forces = any(p.video for p in proposals), any(p.trace for p in proposals)
    if films == forces or any(p.review for p in proposals):
        return ALONE
    return FILMS if films else FORCES


def words_of(proposal: Proposal) -> str:
    """A proposal in two lines: its files, and what speaks for it."""
    names = " + ".join(clean_name(path.name) for path in _files(proposal))
    if proposal.review is not None and not (proposal.video or proposal.trace):
        return f"{names}\n    a review begun before"
    if proposal.joins:
        kind = f"one piece: {proposal.why}"
    elif proposal.video is None:
        kind = "force alone"
    elif proposal.more:
        kind = proposal.why
    elif proposal.trace is None:
        kind = "film alone"
    else:
        kind = proposal.why
    begun = "; its review was begun before" if proposal.review is not None else ""
    return f"{names}\n    {kind}{begun}"


def _files(proposal: Proposal) -> tuple[Path, ...]:
    named = (proposal.video, *proposal.more, proposal.trace, *proposal.joins)
    files = tuple(path for path in named if path is not None)
    return files or proposal.paths
