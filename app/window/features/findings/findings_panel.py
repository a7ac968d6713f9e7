"""The findings as a short ranked list, with what each rests on and what to do about it."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, QSize, Qt
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.window.features.findings.findings import Findings
from app.window.widgets import theme

if TYPE_CHECKING:
    from analysis.findings.finding import Finding

CODE_ROLE = Qt.ItemDataRole.UserRole
NOTHING = "No findings.\nThey are read from the force, or from the body followed in a film."
MOST_SHOWN = 6  # findings seen at once where the window is high enough
HELP = "F goes through them. K keeps one as a note, X drops it, E keeps it and lets you reword it."


class FindingsPanel(QWidget):
    """The list above, the selected finding below."""

    def __init__(self, findings: Findings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._findings = findings
        self._list = QListWidget()
        self._list.setAccessibleName("Findings")
        self._list.setMouseTracking(True)
        self._empty = QLabel(NOTHING)
        self._empty.setProperty("role", "quiet")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._words = QLabel(HELP)
        self._words.setWordWrap(True)
        self._words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._words.setTextFormat(Qt.TextFormat.RichText)
        self._words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._words.setContentsMargins(4, 2, 4, 2)
        reading = QScrollArea()
        reading.setWidget(self._words)
        reading.setWidgetResizable(True)
        reading.setFrameShape(QScrollArea.Shape.NoFrame)
        reading.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._deeds = QWidget()
        row = QHBoxLayout(self._deeds)
        row.setContentsMargins(0, 0, 0, 0)
        self._keep = _button("Keep", "Keep it as a note (K)", findings.keep)
        self._reword = _button("Reword", "Keep it and put it into your words (E)", findings.reword)
        self._drop = _button("Drop", "Drop it, or open it again (X)", findings.drop)
        for button in (self._keep, self._reword, self._drop):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 4, 8, 6)
        column.setSpacing(4)
        column.addWidget(self._list)
        column.addWidget(self._empty, 1)
        column.addWidget(self._deeds)
        column.addWidget(reading, 4)
        self._reading = reading
        # Hovering is enough to see what a finding rests on; a key or a click does the same.
        self._list.itemEntered.connect(lambda item: findings.choose(item.data(CODE_ROLE)))
        self._list.currentItemChanged.connect(self._choose_current)
        self._list.itemClicked.connect(
            lambda item: findings.choose(item.data(CODE_ROLE), anew=True)
        )
        findings.changed.connect(self._fill)
        findings.chosen.connect(self._show)
        theme.follow(self._fill)

    def _fit_list(self) -> None:
        """As high as its lines, up to a few; what is read under it has the rest."""
        lines = self._line_px()
        self._list.setMaximumHeight(min(max(self._list.count(), 1), MOST_SHOWN) * lines + 4)

    def _choose_current(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self._findings.choose(item.data(CODE_ROLE))

    def _fill(self) -> None:
        found = self._findings.found
        with QSignalBlocker(self._list):
            self._list.clear()
            place = 0
            for finding in found:
                place += not finding.good
                item = QListWidgetItem(self._line(finding, place))
                item.setData(CODE_ROLE, finding.code)
                item.setSizeHint(QSize(0, self._line_px()))
                said = (item.text(), _cost(finding), finding.rank_reason)
                item.setToolTip("\n".join(filter(None, said)))
                self._list.addItem(item)
        self._list.setVisible(bool(found))
        self._fit_list()
        self._empty.setVisible(not found)
        for part in (self._deeds, self._reading):
            part.setVisible(bool(found))
        self._show(self._findings.selected)

    def _show(self, finding: Finding | None) -> None:
        for row in range(self._list.count()):
            if finding is not None and self._list.item(row).data(CODE_ROLE) == finding.code:
                with QSignalBlocker(self._list):
                    self._list.setCurrentRow(row)
        decision = self._findings.decision(finding.code) if finding is not None else None
        for button in (self._keep, self._reword, self._drop):
            button.setEnabled(finding is not None)
        self._drop.setText("Open again" if decision and not decision.kept else "Drop")
        self._words.setText(_reading(finding) if finding is not None else HELP)

    def _line(self, finding: Finding, place: int) -> str:
        decision = self._findings.decision(finding.code)
        sign = "" if decision is None else ("   ✓ kept" if decision.kept else "   ✗ dropped")
        rank = "good" if finding.good else f"{place}."
        return f"{rank}  {finding.title}{sign}   {100 * finding.share:.0f} % of strokes"

    def _line_px(self) -> int:
        return self._list.fontMetrics().height() + 6


def _cost(finding: Finding) -> str:
    """What it costs, where that can be reckoned."""
    cost = finding.effect
    return f"{cost.what}: {cost.size:.0f} {cost.unit}" if cost.what and cost.size else ""


def _reading(f: Finding) -> str:
    """What is said of a finding, as rich text."""
    e = f.evidence
    measure = e.measure[:1].upper() + e.measure[1:]
    unit = f" {escape(e.unit)}" if e.unit else ""  # a ratio has none
    parts = [
        f"<b>{escape(f.what)}</b>",
        f"{escape(measure)}: <b>{e.value:.3g}</b>{unit}, held against "
        f"{e.threshold:.3g}. Seen in {100 * f.share:.0f} % of strokes "
        f"(95 %: {100 * f.share_low:.0f} to {100 * f.share_high:.0f} %)."
        + (f" {cost[:1].upper()}{cost[1:]}." if (cost := escape(_cost(f))) else ""),
    ]
    if f.causes:
        causes = "".join(
            f"<li>{escape(c.cause)} <i>{escape(c.look_for)}</i></li>" for c in f.causes
        )
        parts.append(f"Likely, in this order, and what would show it:<ol>{causes}</ol>")
    if f.cue:
        parts.append(f"Cue: <b>{escape(f.cue)}</b>")
    if f.drill:
        parts.append(f"Drill: {escape(f.drill)}")
    if f.caution:
        parts.append(f'<span style="color:{theme.PLAYHEAD}">With care:</span> {escape(f.caution)}')
    quiet = " ".join((*f.remarks, f.rank_reason)).strip()
    if quiet:
        parts.append(f'<span style="color:{theme.QUIET}">{escape(quiet)}</span>')
    return "".join(f"<p style='margin:3px 0'>{part}</p>" for part in parts)


def _button(text: str, help_text: str, run) -> QToolButton:  # type: ignore[no-untyped-def]
    button = QToolButton()
    button.setText(text)
    button.setToolTip(help_text)
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    button.clicked.connect(lambda: run())
    return button
