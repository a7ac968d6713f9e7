"""Buttons for what the keys do too."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QToolButton


def quiet_button(text: str, tip: str, run: Callable[[], object]) -> QToolButton:
    """Make a button that does not take the keys."""
    button = QToolButton()
    button.setText(text)
    button.setToolTip(tip)
    # The keys do all of this; a focused button would swallow the space bar.
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    button.clicked.connect(lambda _checked=False: run())
    return button
