"""Beside the picture: the curve of the stroke under the playhead, its measures, the target."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLabel, QToolButton, QVBoxLayout, QWidget

from analysis.force.curves import Axis, stroke_curve
from app.bundle.wording.measure_words import MEASURES
from app.scene.force_curve import PENS
from app.scene.plot import Entry
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.views.curve_view import CurveView
from app.window.views.scene_paint import entry_words
from app.window.views.transport import Transport
from app.window.widgets import theme
from app.window.widgets.elided_label import ElidedLabel

if TYPE_CHECKING:
    from analysis.findings.finding import Finding
    from analysis.force.curves import CurveSet
    from analysis.force.trace import FloatArray
    from analysis.measures.rowed_piece import RowedPiece
    from analysis.signals.stroke import Stroke

FROM_PICTURE = (
    "From the picture: this stroke thick, the mean thin, shaded how sure it is. No force."
)
LOW_PX = 290  # below it the curve would have hardly any height


class StrokeView(QObject):
    """Which stroke the playhead is in, on which axis, and how far; tells the curve."""

    axis_changed = Signal(str)
    stroke_changed = Signal(object)  # Stroke or None
    renewed = Signal()  # everything is shown again: other recordings, line-up or axis

    def __init__(
        self,
        playhead: Playhead,
        session: ReviewSession,
        transport: Transport,
        curve: CurveView,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._playhead = playhead
        self._session = session
        self._transport = transport
        self._curve = curve
        self._axis: Axis = "time"
        self._stroke: Stroke | None = None
        self._finding: Finding | None = None
        self._drawn_mean: RowedPiece | None = None
        playhead.moved.connect(self._follow)
        curve.percent_wanted.connect(self._go_to)

    @property
    def axis(self) -> Axis:
        """What the percent are of."""
        return self._axis

    @property
    def stroke(self) -> Stroke | None:
        """The stroke under the playhead."""
        return self._stroke

    @property
    def curves(self) -> CurveSet | None:
        """The athlete's curves of the longest section on the axis shown: what targets are of."""
        piece = self._session.submission.main_piece
        return None if piece is None else curves_of(piece, self._axis)

    @property
    def shown_piece(self) -> RowedPiece | None:
        """The piece within the section of the stroke that is shown; its mean is drawn."""
        sent = self._session.submission
        return sent.main if self._stroke is None else sent.rowed_around(self._stroke.index)

    def show_evidence(self, finding: Finding | None) -> None:
        """Shade on the curve what a finding rests on; its span is of the drive's time.

        On the strokes that show it: on another one, shade and number would say what is not there.
        """
        self._finding = finding
        e = finding.evidence if finding is not None else None
        if e is not None and e.percent_from is not None and e.percent_to is not None:
            self.set_axis("time")
        self._shade()

    def _shade(self) -> None:
        finding, stroke = self._finding, self._stroke
        e = finding.evidence if finding is not None else None
        if e is None or e.percent_from is None or e.percent_to is None or self._axis != "time":
            self._curve.set_evidence(None)
            return
        if finding is None or stroke is None or stroke.index not in finding.strokes:
            self._curve.set_evidence(None)
            return
        value = f"{e.value:.3g} {e.unit}".rstrip()  # a ratio has no unit
        words = f"{value} (limit {e.threshold:.3g})"
        self._curve.set_evidence((e.percent_from, e.percent_to, words))

    def renew(self) -> None:
        """Other recordings, line-up or axis: show everything again."""
        if self.curves is None:
            self._axis = "time"
        self._stroke = None
        self._drawn_mean = None
        self._draw_mean()
        self._curve.set_stroke(None)
        self._follow(self._playhead.time_s)
        self.stroke_changed.emit(self._stroke)
        self.renewed.emit()

    def set_axis(self, axis: Axis) -> None:
        """Show the curves by time or by length."""
        if axis != self._axis:
            self._axis = axis
            self.renew()
            self._shade()
            self.axis_changed.emit(self._axis)

    def _follow(self, time_s: float) -> None:
        clock = self._transport.clock
        stroke = clock.stroke_at(time_s) if clock is not None else None
        if stroke is not self._stroke:
            self._stroke = stroke
            if stroke is not None:
                self._draw_mean()
            self._curve.set_stroke(self._force_of(stroke))
            self._shade()
            self.stroke_changed.emit(stroke)
        if clock is None or stroke is None:
            self._curve.set_cursor(None)
        else:
            self._curve.set_cursor(clock.percent_at(stroke, time_s, self._axis))

    def _draw_mean(self) -> None:
        piece = self.shown_piece
        if piece is None or piece is not self._drawn_mean:
            self._drawn_mean = piece
            seen = self._session.submission.from_picture  # no newtons: its curves are signals
            mean = None if piece is None or seen else curves_of(piece, self._axis)
            self._curve.set_mean(mean, has_axis=seen)

    def _force_of(self, stroke: Stroke | None) -> FloatArray | None:
        piece = self._session.submission.piece
        if stroke is None or piece is None:
            return None
        try:
            return stroke_curve(piece.trace, stroke, self._axis)
        except ValueError:  # this stroke has no usable position
            return None

    def _go_to(self, percent: float) -> None:
        clock = self._transport.clock
        if clock is None or self._stroke is None:
            return
        moment = clock.moment_of(self._stroke, percent, self._axis)
        if moment is not None:
            self._playhead.seek(moment)


def curves_of(piece: RowedPiece, axis: Axis) -> CurveSet | None:
    """The curves of a piece on an axis."""
    return piece.by_time if axis == "time" else piece.by_length


class StrokePanel(QWidget):
    """Heading, legend, the curve, and one line of measures."""

    resized = Signal()

    def __init__(self, curve: CurveView, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view: StrokeView | None = None
        self._session: ReviewSession | None = None
        self._choose: QToolButton | None = None
        self._key: QWidget | None = None
        self._is_drawing = False
        self._heading = ElidedLabel("Stroke")
        self._heading.setProperty("role", "heading")
        self._piece: RowedPiece | None = None
        self._legend = QLabel()
        self._legend.setProperty("role", "quiet")
        self._legend.setWordWrap(True)
        self._numbers = ElidedLabel()
        self._by_time = _axis_button("Time")
        self._by_time.setToolTip("Draw the curve over the time of the drive.")
        self._by_length = _axis_button("Length")
        group = QButtonGroup(self)
        group.addButton(self._by_time)
        group.addButton(self._by_length)
        self._by_time.setChecked(True)
        top = QHBoxLayout()
        top.addWidget(self._heading, 1)
        top.addWidget(self._by_time)
        top.addWidget(self._by_length)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 6, 8, 4)
        column.setSpacing(4)
        column.addLayout(top)
        legend = QHBoxLayout()
        legend.addWidget(self._legend, 1)
        column.addLayout(legend)
        column.addWidget(curve, 1)
        column.addWidget(self._numbers)
        self._top = top
        self._legend_row = legend
        self._column = column
        theme.follow(self._show_legend)

    def add_tools(self, draw: QAction, tools: QWidget) -> None:
        """Take a button that begins drawing, and the row that stands under the curve meanwhile."""
        self._mark = _axis_button("Mark")
        key = draw.shortcut().toString()
        self._mark.setToolTip(f"{draw.statusTip()}\nKey: {key}")
        self._mark.setEnabled(draw.isEnabled())
        draw.enabledChanged.connect(self._mark.setEnabled)
        self._mark.clicked.connect(draw.trigger)
        self._top.insertWidget(1, self._mark)
        self._column.addWidget(tools)

    def add_signals(self, button: QToolButton, key: QWidget) -> None:
        """Take the button that chooses what else is shown, and the key of its lines."""
        self._legend_row.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
        self._column.insertWidget(2, key)
        self._choose, self._key = button, key

    def make_room(self) -> None:
        """On a low screen the measures give way to the key of the signals, and to a target.

        Their button, beside which the legend takes a line more, waits in the menu then.
        """
        if self._choose is not None:
            menu = self._choose.menu()
            self._choose.setVisible(not self.is_low and menu is not None and not menu.isEmpty())
        target = self._session is not None and self._session.state.target is not None
        keyed = self._key is not None and not self._key.isHidden()
        crowded = self.is_low and (keyed or target)
        self._numbers.setVisible(not crowded and not self._is_drawing)

    @property
    def is_low(self) -> bool:
        """Whether there is little height."""
        return self.height() < LOW_PX

    def resizeEvent(self, event: QResizeEvent) -> None:
        """See what there is room for."""
        super().resizeEvent(event)
        self.resized.emit()
        self.make_room()
        self._fit_legend()

    def _fit_legend(self) -> None:
        """Keep all its lines: what wraps tells a layout no height of its own."""
        margins = self._column.contentsMargins()
        room = self.width() - margins.left() - margins.right()
        if self._choose is not None and not self._choose.isHidden():
            room -= self._choose.sizeHint().width() + self._legend_row.spacing()
        self._legend.setMinimumHeight(0)  # or it asks for no less than it once had
        self._legend.setMinimumHeight(self._legend.heightForWidth(max(room, 120)))

    def show_drawing(self, on: bool) -> None:
        """Say whether the pen is on the curve; the measures make room for its tools."""
        self._mark.setChecked(on)
        self._is_drawing = on
        self.make_room()

    def listen(self, view: StrokeView, session: ReviewSession) -> None:
        """Show what the view says."""
        self._view = view
        self._session = session
        self._by_time.clicked.connect(lambda: view.set_axis("time"))
        self._by_length.clicked.connect(lambda: view.set_axis("length"))
        view.stroke_changed.connect(self._show_stroke)
        view.axis_changed.connect(self._show_axis)
        session.recordings_changed.connect(lambda: self._show_piece(session.submission.rowed))
        session.body_changed.connect(lambda: self._show_piece(session.submission.rowed))
        session.state_changed.connect(lambda _state, _before: self._follow_state())

    def _follow_state(self) -> None:
        self._show_legend()
        self.make_room()

    def _show_axis(self, axis: str) -> None:
        self._by_time.setChecked(axis == "time")
        self._by_length.setChecked(axis == "length")

    def _show_piece(self, piece: RowedPiece | None) -> None:
        usable = piece is not None and piece.by_length is not None
        self._by_length.setEnabled(usable)
        self._by_length.setToolTip(
            "Draw the curve over the length of the drive."
            if usable
            else "There is no force with a handle position to draw the curve over."
        )
        self._by_time.setChecked(True)
        self._show_mean()

    def _show_mean(self) -> None:
        piece = self._view.shown_piece if self._view is not None else None
        if piece is not self._piece:
            self._piece = piece
            self._show_legend()

    def _show_legend(self) -> None:
        target = self._session.state.target if self._session is not None else None
        words = _legend_text(self._piece)
        if target is not None and "this stroke" in words:
            words += f" &nbsp; {entry_words(Entry('target', 'target', PENS['target']))}"
        read = [c for c in self._session.state.read_curves if c.shown] if self._session else []
        if read:
            entry = Entry("read", "from a picture", PENS["read"])
            words += f" &nbsp; {entry_words(entry)}"
        self._legend.setText(words)
        self._fit_legend()

    def _show_stroke(self, stroke: Stroke | None) -> None:
        piece = self._session.submission.rowed if self._session else None
        if stroke is None or piece is None:
            self._heading.setText("Stroke")
            self._numbers.setText("")
            return
        self._show_mean()
        remark = f" · {stroke.remark}" if stroke.remark else ""
        curves = None if self._piece is None else self._piece.by_time
        if curves is not None and stroke.index in curves.stroke_indices:
            row = curves.stroke_indices.index(stroke.index)
            remark = " · unlike the rest" if curves.outlying[row] else ""
            if stroke.index == curves.typical:
                remark = " · most typical"
        together = remark[:3] + remark[3:].replace(" ", "\u00a0")  # in one of the two lines
        of = f"Stroke {stroke.index + 1} of {len(piece.strokes)}"
        # The line below says so too, where there is no room for both.
        seen = ", from the picture" if stroke.source == "body" and not remark else ""
        self._heading.setText(f"{of}{seen}{together}")
        first, rest = _numbers_text(piece, stroke)
        self._numbers.setText(first)
        self._numbers.setToolTip(rest)


def _axis_button(text: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setCheckable(True)
    return button


def _legend_text(piece: RowedPiece | None) -> str:
    if piece is None:
        return "Add a force file to see the curve."
    if any(stroke.source == "body" for stroke in piece.strokes):
        return FROM_PICTURE
    if piece.by_time is None:
        return "No whole stroke was found in this force file."
    count = int((~piece.by_time.outlying).sum())
    own = Entry("own", "this stroke", PENS["own"])
    mean = Entry("mean", f"mean of {count}, with spread", PENS["mean"])
    return f"{entry_words(own)} &nbsp; {entry_words(mean)}"


TURNS = (
    "From the picture: from where the hands turn to where they turn at the finish. That is some "
    "tenths of a second longer than the drive under force; do not hold it against one."
)
_IN_LINE = ("rate_spm", "drive_s", "rhythm", "peak_n")


def _numbers_text(piece: RowedPiece, stroke: Stroke) -> tuple[str, str]:
    """What fits in one line, and the rest for whoever asks."""
    m = piece.measures[[s.index for s in piece.strokes].index(stroke.index)]
    seen = piece.from_picture
    first = [
        _number(m.rate_spm, "{:.1f} / min"),
        _number(m.drive_s, "pull {:.2f} s" if seen else "drive {:.2f} s"),
        _number(m.recovery_s, "back {:.2f} s") if seen else _number(m.rhythm, "rhythm 1 : {:.1f}"),
        _number(m.peak_n, "peak {:.0f} N"),
    ]
    rest = [
        f"{word.title} {word.with_unit(m[word.name])}"
        for word in MEASURES
        if word.name not in _IN_LINE and m[word.name] is not None
    ]
    return " · ".join(filter(None, first)), "\n".join([TURNS] * seen + rest)


def _number(value: float | None, form: str) -> str:
    return "" if value is None else form.format(value)
