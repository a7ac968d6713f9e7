"""How much memory and disk the picture may take: the coach's choice."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtWidgets import (
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSpinBox,
    QVBoxLayout,
    QWidget,
)

from app.window.session.settings import CACHE_MB, QUICK_COPY_MB, Settings
from app.window.views.frame_supply import FrameSupply

# Changing it starts the picture anew: not at each turn of the wheel.
SETTLE_MS = 400
CACHE_WORDS = (
    "Frames kept in memory around the one on screen. More lets you step back farther at once; "
    "less leaves room for other programs."
)
COPY_WORDS = (
    "A small copy of the footage that makes dragging smooth. It lies in the folder for temporary "
    "files, takes at most a quarter of what is free there, and goes when the review is closed. "
    "0 for none."
)


class Limits(QObject):
    """Keeps the limits, and holds the picture to them."""

    def __init__(self, window: QWidget, supply: FrameSupply, settings: Settings) -> None:
        super().__init__(window)
        self._window = window
        self._supply = supply
        self.settings = settings
        self.apply()

    def apply(self) -> None:
        """Hold the picture to what the settings say."""
        self._supply.set_limits(self.settings.cache_mb, self.settings.quick_copy_mb)

    def ask(self) -> None:
        """Show the limits there are."""
        LimitsDialog(self, self._window).show()


class LimitsDialog(QDialog):
    """Two numbers, kept and obeyed as soon as they are changed."""

    def __init__(self, limits: Limits, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Memory and disk")
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._limits = limits
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(SETTLE_MS)
        self._settle.timeout.connect(limits.apply)
        settings = limits.settings
        self.cache = _box("Frames in memory", CACHE_MB, 64, settings.cache_mb)
        self.copy = _box("Quick copy on disk", QUICK_COPY_MB, 512, settings.quick_copy_mb)
        self.copy.setSpecialValueText("none")
        self.cache.valueChanged.connect(self._set_cache)
        self.copy.valueChanged.connect(self._set_copy)
        form = QFormLayout()
        form.addRow("Frames in memory", self.cache)
        form.addRow(_words(CACHE_WORDS))
        form.addRow("Quick copy on disk", self.copy)
        form.addRow(_words(COPY_WORDS))
        usual = QPushButton("As usual")
        usual.setToolTip(f"{CACHE_MB[0]} MB in memory, {QUICK_COPY_MB[0]} MB on disk")
        usual.clicked.connect(self._reset)
        usual.setAutoDefault(False)
        done = QPushButton("Done")
        done.setToolTip("Close; what you changed holds already.")
        done.setDefault(True)
        done.clicked.connect(self.accept)
        column = QVBoxLayout(self)
        column.addLayout(form)
        buttons = QHBoxLayout()
        buttons.addWidget(usual)
        buttons.addStretch(1)
        buttons.addWidget(done)
        column.addStretch(1)
        column.addLayout(buttons)
        self.setMinimumWidth(440)
        self.finished.connect(lambda _result: limits.apply())

    def _set_cache(self, megabytes: int) -> None:
        self._limits.settings.cache_mb = megabytes
        self._settle.start()

    def _set_copy(self, megabytes: int) -> None:
        self._limits.settings.quick_copy_mb = megabytes
        self._settle.start()

    def _reset(self) -> None:
        self.cache.setValue(CACHE_MB[0])
        self.copy.setValue(QUICK_COPY_MB[0])


def _box(name: str, usual_least_most: tuple[int, int, int], step: int, now: int) -> QSpinBox:
    _usual, least, most = usual_least_most
    box = QSpinBox()
    box.setRange(least, most)
    box.setSingleStep(step)
    box.setSuffix(" MB")
    box.setKeyboardTracking(False)
    box.setAccessibleName(name)
    box.setValue(now)
    return box


def _words(text: str) -> QLabel:
    words = QLabel(text)
    words.setWordWrap(True)
    words.setProperty("role", "quiet")
    return words
