"""The bench's own colours, dark and light, from the Okabe-Ito set where they mean something.

A colour is asked for by its role (`theme.FORCE`) where it is painted, so that it is the one of what
is worn now; what keeps a colour (a pen, a style sheet) dresses anew through `follow`. A picture has
a dark surround in either: what lies on it takes `DARK`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from weakref import WeakMethod

from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication
from shiboken6 import isValid


@dataclass(frozen=True)
class Colours:
    """One set of colours by role.

    Attributes
    ----------
    floor, panel, raised : grounds: of plots and fields, of the window, of buttons and shades
    line : edges of what can be pressed, and axes
    hair : what only divides
    quiet, text : words
    force, mean : this stroke's force, and the athlete's mean
    target_bright : the target line, on a ground of its own
    second : the second stroke of a comparison; its line is dashed
    """

    floor: str
    panel: str
    raised: str
    line: str
    hair: str
    quiet: str
    text: str
    disabled: str
    rim: str
    chosen: str
    chosen_text: str
    force: str
    mean: str
    target: str
    target_bright: str
    playhead: str
    note: str
    warning: str
    orange: str
    pick: str
    second: str


# The greys lean to green, to keep them apart from the picture's own.
DARK = Colours(
    floor="#14181a",
    panel="#1d2326",
    raised="#2a3236",
    line="#748189",
    hair="#3b464c",
    quiet="#a9b7bd",
    text="#eef3f4",
    disabled="#78868c",
    rim="#a0b2bb",  # the style makes it darker
    chosen="#0f5e87",
    chosen_text="#ffffff",
    force="#56b4e9",
    mean="#eef3f4",
    target="#009e73",
    target_bright="#3fd0a5",
    playhead="#e69f00",
    note="#f0e442",
    warning="#e8731c",
    orange="#ff8c4a",
    pick="#d98fb8",
    second="#cc79a7",
)
# The same hues, darkened until they are read on white.
LIGHT = Colours(
    floor="#ffffff",
    panel="#eef1f3",
    raised="#dde4e8",
    line="#737e85",
    hair="#c3ccd1",
    quiet="#465158",
    text="#14181a",
    disabled="#8a949a",
    rim="#5d676d",
    chosen="#0072b2",
    chosen_text="#ffffff",
    force="#0072b2",
    mean="#14181a",
    target="#007a59",
    target_bright="#00724f",
    playhead="#8a5500",
    note="#7d6a00",
    warning="#b84a00",
    orange="#b84a00",
    pick="#97386d",
    second="#97386d",
)


class _Wardrobe:
    """What is worn, and who dresses anew when it is something else.

    Weak references, no connections: a signal that outlives what it is connected to is followed into
    objects that are being collected.
    """

    def __init__(self) -> None:
        self.worn = DARK
        self.followers: list[WeakMethod[Callable[[], object]]] = []

    def tell(self) -> None:
        """Let everybody who is still there dress anew."""
        there = [(ref, method) for ref in self.followers if (method := ref()) is not None]
        there = [pair for pair in there if isValid(getattr(pair[1], "__self__", None))]
        self.followers = [ref for ref, _method in there]
        for _ref, method in there:
            method()


_wardrobe = _Wardrobe()


def __getattr__(name: str) -> str:
    """Give the colour of a role, named in capitals, as it is worn now."""
    if name.isupper() and name.lower() in Colours.__dataclass_fields__:
        return str(getattr(_wardrobe.worn, name.lower()))
    raise AttributeError(name)


def worn() -> Colours:
    """What the bench wears now."""
    return _wardrobe.worn


def follow(dress_part: Callable[[], object]) -> None:
    """Call a method of a widget now, and whenever other colours are worn while it lives."""
    dress_part()
    _wardrobe.followers.append(WeakMethod(dress_part))


def wear(app: QApplication, colours: Colours) -> None:
    """Put other colours on."""
    _wardrobe.worn = colours
    dress(app)
    _wardrobe.tell()


def _roles(c: Colours) -> dict[QPalette.ColorRole, str]:
    role = QPalette.ColorRole
    dark = c is DARK
    return {
        role.Window: c.panel,
        role.WindowText: c.text,
        role.Base: c.floor,
        role.AlternateBase: c.panel,
        role.Text: c.text,
        role.PlaceholderText: c.quiet,
        role.Button: c.raised,
        role.ButtonText: c.text,
        role.BrightText: c.note,
        role.ToolTipBase: c.raised,
        role.ToolTipText: c.text,
        role.Highlight: c.chosen,
        role.HighlightedText: c.chosen_text,
        role.Accent: c.force,
        role.Link: c.force,
        role.Light: "#39444a" if dark else "#ffffff",
        role.Midlight: "#323c41" if dark else "#e8edf0",
        role.Mid: c.hair,
        role.Dark: "#0d1011" if dark else "#a4adb2",
        role.Shadow: "#000000" if dark else "#6a7379",
    }


_DISABLED = (
    QPalette.ColorRole.WindowText,
    QPalette.ColorRole.Text,
    QPalette.ColorRole.ButtonText,
)


def dress(app: QApplication) -> None:
    """Give the application its style, and the palette and sheet of what is worn."""
    c = _wardrobe.worn
    app.setStyle("Fusion")
    palette = QPalette()
    for role, colour in _roles(c).items():
        palette.setColor(role, QColor(colour))
    for role in _DISABLED:
        palette.setColor(QPalette.ColorGroup.Disabled, role, QColor(c.disabled))
    app.setPalette(palette)
    # A box that is not ticked must be seen: the style draws its rim from these two.
    boxes = QPalette(palette)
    boxes.setColor(QPalette.ColorRole.Window, QColor(c.rim))
    boxes.setColor(QPalette.ColorRole.Base, QColor(c.floor))
    for kind in ("QCheckBox", "QRadioButton"):
        app.setPalette(boxes, kind)  # type: ignore[arg-type]  # it takes a str
    # And where the keys go: the rim of the field that has them.
    fields = QPalette(palette)
    fields.setColor(QPalette.ColorRole.Highlight, QColor(c.force))
    fields.setColor(QPalette.ColorRole.HighlightedText, QColor(c.floor))
    for kind in ("QComboBox", "QAbstractSpinBox"):
        app.setPalette(fields, kind)  # type: ignore[arg-type]
    app.setStyleSheet(_sheet(c))


def _sheet(c: Colours) -> str:
    """Only what the palette cannot say: spacing, hairlines and the roles of labels."""
    return f"""
QToolTip {{ color: {c.text}; background: {c.raised}; border: 1px solid {c.line}; padding: 4px; }}
QLabel[role="heading"] {{ font-weight: 600; color: {c.text}; }}
QLabel[role="quiet"] {{ color: {c.quiet}; }}
QLabel[role="clock"] {{ font-family: "DejaVu Sans Mono", monospace; font-size: 15px; }}
QLabel[role="section"] {{ color: {c.quiet}; font-weight: 600; padding: 5px 10px 2px 10px; }}
QLabel[role="mode"] {{ color: {c.chosen_text}; background: {c.chosen}; border-radius: 4px;
    padding: 2px 8px; font-weight: 600; }}
QFrame[role="rule"] {{ background: {c.hair}; max-height: 1px; border: 0; }}
QToolButton {{ padding: 3px 4px; border: 1px solid {c.line}; border-radius: 4px; }}
QToolButton:disabled {{ border-color: {c.hair}; }}
QToolButton:focus {{ border-color: {c.force}; }}
QToolButton[popupMode="2"] {{ padding-right: 14px; }}
QToolButton::menu-indicator {{ subcontrol-position: right center; right: 3px; }}
QToolButton:hover {{ background: {c.raised}; }}
QToolButton:checked {{ background: {c.raised}; border-color: {c.force}; }}
QPushButton {{ padding: 4px 10px; background: {c.raised}; border: 1px solid {c.line};
    border-radius: 4px; }}
QPushButton:hover {{ background: {c.hair}; }}
QPushButton:disabled {{ border-color: {c.hair}; background: {c.panel}; }}
QPushButton:default {{ border-color: {c.quiet}; }}
QPushButton:focus {{ border-color: {c.force}; }}
QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
QTabBar::tab {{ padding: 4px 5px; margin-right: 1px; background: {c.floor}; color: {c.quiet};
    border: 1px solid {c.raised}; border-bottom: 0;
    border-top-left-radius: 4px; border-top-right-radius: 4px; }}
QTabBar[tight="true"]::tab {{ padding: 4px 2px; }}
QTabBar::tab:hover {{ background: {c.raised}; }}
QTabBar::tab:selected {{ background: {c.raised}; color: {c.text}; border-color: {c.line}; }}
QTabBar::tab:selected:focus {{ border-color: {c.force}; }}
QPushButton[role="first"], QToolButton[role="first"] {{ font-weight: 600; color: {c.chosen_text};
    background: {c.chosen}; border-color: {c.chosen}; }}
QPushButton[role="first"]:hover, QToolButton[role="first"]:hover {{ border-color: {c.text}; }}
QPushButton[role="first"]:disabled, QToolButton[role="first"]:disabled {{ color: {c.disabled};
    background: {c.panel}; border-color: {c.hair}; }}
QToolButton[role="more"]::menu-indicator {{ image: none; }}
QToolButton[role="more"] {{ padding: 3px 6px; }}
QDialog {{ border: 1px solid {c.hair}; }}
QListView {{ border: 1px solid {c.hair}; }}
QPlainTextEdit, QLineEdit, QComboBox, QSpinBox {{ padding: 2px 4px; }}
QPlainTextEdit:focus, QLineEdit:focus, QListView:focus {{ border: 1px solid {c.force}; }}
QSplitter::handle {{ background: {c.floor}; }}
"""
