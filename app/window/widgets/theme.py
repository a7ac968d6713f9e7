"""The bench's own palette: quiet and dark, with colours from the Okabe-Ito set for meaning."""

from __future__ import annotations

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

# Greys of the bench, from the floor of the window up to text. The lean to green keeps them apart
# from the picture's own greys.
FLOOR = "#14181a"
PANEL = "#1d2326"
RAISED = "#2a3236"
LINE = "#46535a"
QUIET = "#a9b7bd"  # secondary text: 7.6 : 1 on PANEL
TEXT = "#eef3f4"

# Okabe-Ito. Each meaning also has a line style, a shape or a word of its own.
FORCE = "#56b4e9"  # this stroke's force
MEAN = "#eef3f4"  # the athlete's mean
TARGET = "#009e73"
TARGET_BRIGHT = "#3fd0a5"  # the target line on the dark bench, where #009e73 is only 4.4 : 1
PLAYHEAD = "#e69f00"
NOTE = "#f0e442"
WARNING = "#d55e00"
PICK = "#cc79a7"
SECOND = "#cc79a7"  # the second stroke of a comparison; its line is dashed

_ROLES = {
    QPalette.ColorRole.Window: PANEL,
    QPalette.ColorRole.WindowText: TEXT,
    QPalette.ColorRole.Base: FLOOR,
    QPalette.ColorRole.AlternateBase: PANEL,
    QPalette.ColorRole.Text: TEXT,
    QPalette.ColorRole.PlaceholderText: QUIET,
    QPalette.ColorRole.Button: RAISED,
    QPalette.ColorRole.ButtonText: TEXT,
    QPalette.ColorRole.BrightText: NOTE,
    QPalette.ColorRole.ToolTipBase: RAISED,
    QPalette.ColorRole.ToolTipText: TEXT,
    QPalette.ColorRole.Highlight: "#0f5e87",
    QPalette.ColorRole.HighlightedText: TEXT,
    QPalette.ColorRole.Accent: FORCE,
    QPalette.ColorRole.Link: FORCE,
    QPalette.ColorRole.Light: "#39444a",
    QPalette.ColorRole.Midlight: "#323c41",
    QPalette.ColorRole.Mid: LINE,
    QPalette.ColorRole.Dark: "#0d1011",
    QPalette.ColorRole.Shadow: "#000000",
}
_RIM = "#a0b2bb"  # the style makes it darker
_DISABLED = (
    QPalette.ColorRole.WindowText,
    QPalette.ColorRole.Text,
    QPalette.ColorRole.ButtonText,
)


def dress(app: QApplication) -> None:
    """Give the application its style, palette and base font size."""
    app.setStyle("Fusion")
    palette = QPalette()
    for role, colour in _ROLES.items():
        palette.setColor(role, QColor(colour))
    for role in _DISABLED:
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor("#78868c"))
    app.setPalette(palette)
    # A box that is not ticked must be seen: the style draws its rim from these two.
    boxes = QPalette(palette)
    boxes.setColor(QPalette.ColorRole.Window, QColor(_RIM))
    boxes.setColor(QPalette.ColorRole.Base, QColor(FLOOR))
    for kind in ("QCheckBox", "QRadioButton"):
        app.setPalette(boxes, kind)  # type: ignore[arg-type]  # it takes a str
    # And where the keys go: the rim of the field that has them.
    fields = QPalette(palette)
    fields.setColor(QPalette.ColorRole.Highlight, QColor(FORCE))
    fields.setColor(QPalette.ColorRole.HighlightedText, QColor(FLOOR))
    for kind in ("QComboBox", "QAbstractSpinBox"):
        app.setPalette(fields, kind)  # type: ignore[arg-type]
    app.setStyleSheet(_SHEET)


# Only what the palette cannot say: spacing, hairlines and the roles of labels.
_SHEET = f"""
QToolTip {{ color: {TEXT}; background: {RAISED}; border: 1px solid {LINE}; padding: 4px; }}
QLabel[role="heading"] {{ font-weight: 600; color: {TEXT}; }}
QLabel[role="quiet"] {{ color: {QUIET}; }}
QLabel[role="clock"] {{ font-family: "DejaVu Sans Mono", monospace; font-size: 15px; }}
QLabel[role="section"] {{ color: {QUIET}; font-weight: 600; padding: 5px 10px 2px 10px; }}
QFrame[role="rule"] {{ background: {LINE}; max-height: 1px; border: 0; }}
QToolButton {{ padding: 3px 4px; border: 1px solid {LINE}; border-radius: 4px; }}
QToolButton:disabled {{ border-color: {RAISED}; }}
QToolButton:focus {{ border-color: {FORCE}; }}
QToolButton[popupMode="2"] {{ padding-right: 14px; }}
QToolButton::menu-indicator {{ subcontrol-position: right center; right: 3px; }}
QToolButton:hover {{ background: {RAISED}; }}
QToolButton:checked {{ background: {RAISED}; border-color: {FORCE}; }}
QPushButton {{ padding: 4px 10px; background: {RAISED}; border: 1px solid {LINE};
    border-radius: 4px; }}
QPushButton:hover {{ background: {LINE}; }}
QPushButton:disabled {{ border-color: {RAISED}; background: {PANEL}; }}
QPushButton:default {{ border-color: {QUIET}; }}
QPushButton:focus {{ border-color: {FORCE}; }}
QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
QTabBar::tab {{ padding: 4px 5px; margin-right: 1px; background: {FLOOR}; color: {QUIET};
    border: 1px solid {RAISED}; border-bottom: 0;
    border-top-left-radius: 4px; border-top-right-radius: 4px; }}
QTabBar::tab:hover {{ background: {RAISED}; }}
QTabBar::tab:selected {{ background: {RAISED}; color: {TEXT}; border-color: {LINE}; }}
QTabBar::tab:selected:focus {{ border-color: {FORCE}; }}
QPushButton[role="first"] {{ font-weight: 600; }}
QDialog {{ border: 1px solid {LINE}; }}
QListView {{ border: 1px solid {LINE}; }}
QPlainTextEdit, QLineEdit, QComboBox, QSpinBox {{ padding: 2px 4px; }}
QPlainTextEdit:focus, QLineEdit:focus, QListView:focus {{ border: 1px solid {FORCE}; }}
QSplitter::handle {{ background: {FLOOR}; }}
"""
