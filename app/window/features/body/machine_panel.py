"""What is placed and followed of the machine, and the buttons that place more of it."""

from __future__ import annotations

import numpy as np
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from analysis.body.track import FIXED_POINTS
from app.scene.machine_marks import NAMES, name_of
from app.window.features.body.machine import MOVING, Machine, named
from app.window.features.body.placing import Placing
from app.window.session.review_session import ReviewSession


class MachinePanel(QWidget):
    """A few lines in the tab of the body."""

    def __init__(self, session: ReviewSession, machine: Machine, placing: Placing) -> None:
        super().__init__()
        self._session, self._machine, self._placing = session, machine, placing
        heading = QLabel("Machine and camera")
        heading.setProperty("role", "heading")
        self.status = QLabel()
        self.status.setProperty("role", "quiet")
        self.status.setWordWrap(True)
        self.moving = QPushButton("Place handle and seat")
        self.moving.setToolTip(
            "Click both once in the picture; they are followed through the film."
        )
        self.moving.clicked.connect(machine.place_moving)
        self.fixed = QPushButton("Place fixed points")
        self.fixed.setToolTip(
            "What stands still tells how the camera stood, and takes out what it crept."
        )
        self.fixed.clicked.connect(machine.place_fixed)
        self.skip = QPushButton("Skip this point")
        self.skip.setToolTip("It cannot be seen here: go on with the next point.")
        self.skip.clicked.connect(placing.skip)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 6, 0, 0)
        for part in (heading, self.status, self.moving, self.fixed, self.skip):
            column.addWidget(part)
        machine.changed.connect(self._renew)
        self._renew()

    def _renew(self) -> None:
        wanted = self._placing.wanted
        self.skip.setVisible(bool(wanted))
        self.status.setText("\n".join(self._lines()))

    def _lines(self) -> list[str]:
        if self._placing.wanted:
            return [f"Click on the picture: {name_of(self._placing.wanted[0])}."]
        if self._machine.is_running:
            return ["The machine is being followed."]
        lines = [f"{NAMES[name].capitalize()}: {self._standing(name)}." for name in MOVING]
        placed = {click.point for click in self._machine.clicks}
        fixed = tuple(name for name in FIXED_POINTS if name in placed)
        return [*lines, f"Fixed points: {named(fixed) or 'none placed'}."]

    def _standing(self, name: str) -> str:
        body = self._session.submission.body
        if body is None:
            return "not placed"
        known = np.isfinite(body.track.of(name)).all(axis=1)
        if not known.any():
            return "not placed"
        return f"followed in {100.0 * float(known.mean()):.0f} % of the frames"
