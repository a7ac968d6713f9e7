"""Reads curves from one picture: corners, ticks, lines, and what comes of them at once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLabel,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from analysis.reading_pictures.flattening import Pixels, Points, whole_picture
from analysis.reading_pictures.picking import LaidFlat
from app.review.parts.read_curves import ReadCurve, check_read_curves
from app.review.values.errors import ReviewError
from app.window.features.curve_picture.line_list import LineList
from app.window.features.curve_picture.picture_sheet import PictureSheet
from app.window.features.curve_picture.reader import (
    TICKS,
    Place,
    Setting,
    Stroke,
    as_places,
    first_corners,
    kept_curve,
    lay_and_pick,
    measured,
)
from app.window.features.curve_picture.scale_fields import ScaleFields
from app.window.tasks.jobs import Cancelled, Jobs, Progress
from app.window.widgets.scroll_frame import ScrollFrame, fit_dialog

ALONG: Final = (
    ("s", "seconds"), ("ms", "milliseconds"), ("% of drive", "% of the drive's time"),
    ("m", "metres"), ("% of length", "% of the drive's length"), ("", "unknown: its ends count"),
)  # fmt: skip
FORCE: Final = (
    ("N", "N"),
    ("kN", "kN"),
    ("kgf", "kgf"),
    ("lbf", "lbf"),
    ("", "no scale: shape only"),
)
PROMPTS: Final = {
    "corners": "Drag the corners to those of the screen, the sheet or the plot's frame.",
    "along 1": "Click a tick of the lower axis, far to the left; type its value. The wheel zooms.",
    "along 2": "Click a tick of the lower axis, far to the right; type its value. Arrows nudge it.",
    "force 1": "Click a low tick of the upright axis, or the line where the force is zero.",
    "force 2": "Click a high tick of the upright axis, and type its value.",
    "pick": "Click on the line. Where another line of its colour crosses it, use the pen.",
    "pen": "Draw along the line with the mouse, from its beginning to its end.",
}


class ReadingDialog(QDialog):
    """One picture on the left, what is asked about it on the right."""

    def __init__(
        self,
        pixels: Pixels,
        title: str,
        source: str,
        jobs: Jobs,
        keep: Callable[[tuple[ReadCurve, ...]], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Read a curve from {source}")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._pixels, self._title, self._source = pixels, title, source
        self._jobs, self._keep = jobs, keep
        self.setting = Setting()
        self.strokes: tuple[Stroke, ...] = ()
        self._laid: LaidFlat | None = None
        self._busy, self._again, self._closed = False, False, False
        self.finished.connect(self._end)
        self._make_parts()
        self._lay_out()
        fit_dialog(self, 1120, 720)
        self.arm("corners")
        self._find()

    def _make_parts(self) -> None:
        self.sheet = PictureSheet(self._pixels)
        self.sheet.placed.connect(self._place)
        self.sheet.released.connect(self._released)
        self.sheet.clicked.connect(lambda place: self._add(np.array([place])))
        self.sheet.drawn.connect(self._add)
        self.along = ScaleFields("Lower axis", (TICKS[0], TICKS[1]), ALONG, (0.0, 1.0))
        self.force = ScaleFields("Upright axis", (TICKS[2], TICKS[3]), FORCE, (0.0, 500.0))
        self.along.unit_changed.connect(lambda unit: self._set(replace(self.setting, along=unit)))
        self.force.unit_changed.connect(lambda unit: self._set(replace(self.setting, force=unit)))
        for fields in (self.along, self.force):
            fields.value_changed.connect(self._set_value)
            fields.place_wanted.connect(self.arm)
        self.lines = LineList()
        self.lines.renamed.connect(self._rename)
        self.lines.removed.connect(self._remove)
        self.buttons = {
            "find": _button("Find", "Look for the corners of a screen or a sheet.", self._find),
            "whole": _button("None", "A screen shot: nothing to lay flat.", self._whole),
            "corners": _button("Drag", PROMPTS["corners"], self._frame),
            "pick": _button("Click a line", PROMPTS["pick"], lambda: self.arm("pick")),
            "pen": _button("Pen", PROMPTS["pen"], lambda: self.arm("pen")),
        }
        for name in ("corners", "pick", "pen"):
            self.buttons[name].setCheckable(True)
        self.said = QLabel()
        self.said.setWordWrap(True)

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        side.setContentsMargins(0, 0, 4, 0)
        side.addLayout(self._row("Corners", ("find", "corners", "whole")))
        side.addWidget(self.along)
        side.addWidget(self.force)
        side.addLayout(self._row("Lines", ("pick", "pen")))
        side.addWidget(self.lines, 1)
        inside = QWidget()
        inside.setLayout(side)
        frame = ScrollFrame(inside, self.minimumSize())
        frame.setFixedWidth(300)
        top = QHBoxLayout()
        top.addWidget(self.sheet, 1)
        top.addWidget(frame)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Cancel)
        self.keep_button = buttons.addButton("Keep", QDialogButtonBox.ButtonRole.AcceptRole)
        self.keep_button.setAutoDefault(False)  # Enter ends the typing of a value
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        foot = QHBoxLayout()
        foot.addWidget(self.said, 1)
        foot.addWidget(buttons)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(8, 8, 8, 8)
        whole.addLayout(top, 1)
        whole.addLayout(foot)

    def _row(self, title: str, names: tuple[str, ...]) -> QHBoxLayout:
        row = QHBoxLayout()
        heading = QLabel(title)
        heading.setProperty("role", "heading")
        row.addWidget(heading, 1)
        for name in names:
            row.addWidget(self.buttons[name])
        return row

    def arm(self, what: str) -> None:
        """Let the next click in the picture do this."""
        self.sheet.arm(what)
        self._show()

    def accept(self) -> None:
        """Keep what was read."""
        curves = tuple(filter(None, (kept_curve(s, self._source) for s in self.strokes)))
        try:
            check_read_curves(curves)
        except ReviewError as error:
            self.said.setText(str(error))
            return
        if curves:
            self._keep(curves)
            super().accept()

    def _find(self) -> None:
        pixels = self._pixels

        def work(progress: Progress, cancelled: Cancelled) -> tuple[Place, ...] | None:
            return first_corners(pixels)

        self._jobs.run("Looking for corners", work, self._take_corners, self._refuse)

    def _take_corners(self, corners: tuple[Place, ...] | None) -> None:
        if self._closed:
            return
        self._laid = None
        self._set(replace(self.setting, corners=corners, dragged=False))
        if self.sheet.armed == "corners":
            self._arm_next()

    def _whole(self) -> None:
        self._take_corners(None)

    def _frame(self) -> None:
        """Corners to drag: those there are, or a frame a little within the picture."""
        if self.setting.corners is None:
            height, width = self._pixels.shape[:2]
            whole = whole_picture(width, height)
            inner = whole.mean(axis=0) + 0.9 * (whole - whole.mean(axis=0))
            self._laid = None
            self._set(replace(self.setting, corners=as_places(inner), dragged=True))
        self.arm("corners")

    def _place(self, name: str, place: Place) -> None:
        corners = self.setting.corners
        if name.startswith("corner ") and corners is not None:
            number = int(name.removeprefix("corner "))
            moved = (*corners[:number], place, *corners[number + 1 :])
            self.setting = replace(self.setting, corners=moved, dragged=True)
            self.sheet.show_all(self.setting, self.strokes)
            return
        hand_px = max(1.0, 1.0 / self.sheet.scale)
        self.setting = replace(self.setting.with_place(name, place), hand_px=hand_px)
        self._measure()

    def _released(self, name: str) -> None:
        if name.startswith("corner "):
            self._laid = None
            self._renew()
        elif name == self.sheet.armed:
            self._arm_next()

    def _arm_next(self) -> None:
        missing = self.setting.missing()
        self.arm(missing[0] if missing else "pick")

    def _set(self, setting: Setting) -> None:
        self.setting = setting
        self._renew()

    def _set_value(self, name: str, value: float) -> None:
        self.setting = self.setting.with_value(name, value)
        self._measure()

    def _add(self, places: Points) -> None:
        name = f"{self._title} {len(self.strokes) + 1}" if self.strokes else self._title
        self.strokes = (*self.strokes, Stroke(places, name))
        self._renew()

    def _rename(self, row: int, name: str) -> None:
        before = self.strokes
        named = replace(before[row], name=name.strip() or before[row].name)
        self.strokes = (*before[:row], named, *before[row + 1 :])
        self._show()

    def _remove(self, row: int) -> None:
        self.strokes = (*self.strokes[:row], *self.strokes[row + 1 :])
        self._show()

    def _renew(self) -> None:
        """Lay flat and pick what is not yet, in a job; what changed meanwhile comes after it."""
        self._measure()
        if self._busy:
            self._again = True
            return
        self._busy = True
        pixels, corners, laid, strokes = (
            self._pixels,
            self.setting.corners,
            self._laid,
            self.strokes,
        )

        def work(
            progress: Progress, cancelled: Cancelled
        ) -> tuple[tuple[Place, ...] | None, LaidFlat, tuple[Stroke, ...]]:
            return corners, *lay_and_pick(pixels, corners, laid, strokes, cancelled)

        self._jobs.run("Reading the curve", work, self._take, self._fail)

    def _take(self, came: tuple[tuple[Place, ...] | None, LaidFlat, tuple[Stroke, ...]]) -> None:
        self._busy = False
        if self._closed:
            return
        corners, laid, picked = came
        if corners == self.setting.corners:
            self._laid = laid
            found = {id(stroke.places): stroke for stroke in picked}
            self.strokes = tuple(
                replace(found[id(s.places)], name=s.name) if id(s.places) in found else s
                for s in self.strokes
            )
        self._measure()
        if self._again:
            self._again = False
            self._renew()

    def _fail(self, error: Exception) -> None:
        self._busy = False
        if not self._closed:
            self._laid = None
            self._show()
            self.said.setText(str(error))

    def _refuse(self, error: Exception) -> None:
        if not self._closed:
            self.said.setText(str(error))

    def _measure(self) -> None:
        laid = self._laid
        if laid is not None:
            self.strokes = tuple(measured(laid, s, self.setting) for s in self.strokes)
        self._show()

    def _show(self) -> None:
        armed, setting = self.sheet.armed, self.setting
        placed = tuple(name for name, _at in setting.places)
        for fields in (self.along, self.force):
            fields.show_needed(setting.needed(), placed, armed)
        for name in ("corners", "pick", "pen"):
            self.buttons[name].setChecked(name == armed)
        self.sheet.show_all(setting, self.strokes)
        self.lines.show_strokes(self.strokes)
        ready = [s for s in self.strokes if s.drive is not None]
        self.keep_button.setEnabled(bool(ready))
        self.keep_button.setText(f"Keep {len(ready)} curves" if len(ready) > 1 else "Keep")
        self.said.setText(PROMPTS[armed])

    def _end(self) -> None:
        self._closed = True


def _button(text: str, tip: str, run: Callable[[], None]) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setToolTip(tip)
    button.clicked.connect(lambda: run())
    return button
