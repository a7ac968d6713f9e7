"""The row under two pictures: everything the keys of a comparison do, for the mouse."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QLabel, QMenu, QSlider, QToolButton

from app.review.parts.comparisons import Comparison
from app.window.features.comparing.adjusting import Adjusting
from app.window.features.comparing.comparing import Comparing
from app.window.widgets.overflow_tool_bar import OverflowToolBar

_LAYOUTS = (("beside", "Left, right"), ("above", "Top, bottom"), ("over", "Overlay"))
_TIMINGS = (("phase", "Phase"), ("real", "Real time"), ("free", "Free"))
_TIPS = {
    "phase": "Catch with catch, finish with finish, next catch with next catch.",
    "real": "Seconds from the catch, as rowed.",
    "free": "Seconds from the catch, with a shift of your own.",
    "beside": "One picture beside the other.",
    "above": "One picture above the other.",
    "over": "The right picture faintly over the left one.",
}
EVENT_TIP = "Say on which frame a stroke has its catch, finish and next catch."
EVENT_ACTIONS = (
    "left_catch",
    "left_finish",
    "left_next_catch",
    "right_catch",
    "right_finish",
    "right_next_catch",
    "events_from_force",
)


class ComparisonBar(OverflowToolBar):
    """Layouts, clocks, the fit; hidden while one picture stands alone."""

    def __init__(
        self, comparing: Comparing, adjusting: Adjusting, actions: Mapping[str, QAction]
    ) -> None:
        super().__init__()
        self._comparing, self._adjusting = comparing, adjusting
        self._gesture = ""
        self._layouts = self._choices(_LAYOUTS, adjusting.set_layout, "", 6)
        self._opacity = self._slider()
        self.gap()
        self._timings = self._choices(_TIMINGS, adjusting.set_timing, "Y", 5)
        self._button(actions["shift_earlier"], "◂", 1)
        self._shift = QLabel("")
        self._shift.setProperty("role", "quiet")
        self._shift.setToolTip("How much later in its stroke the right picture is.")
        self._shift.setAccessibleName("Shift of the right picture")
        self.put(self._shift)
        self.want(self._shift, False)
        self._button(actions["shift_later"], "▸", 1)
        self.gap()
        self._lay = self._button(actions["lay_together"], "Match pictures", 3)
        self._mirror = self._button(actions["mirror_right"], "Mirror right", 4)
        for button in (self._lay, self._mirror):
            button.setCheckable(True)
        self.put(menu_button("Events", EVENT_TIP, actions, EVENT_ACTIONS), 2, "Events")
        self.stretch()
        self._button(actions["compare"], "Done")
        comparing.changed.connect(self._show)
        self.setVisible(False)

    def _choices(  # type: ignore[no-untyped-def]
        self, choices, run, key: str, gives: int
    ) -> dict[str, QToolButton]:
        made = {}
        for name, text in choices:
            button = _plain(text)
            button.setCheckable(True)
            button.setToolTip(f"{_TIPS[name]}\nKey: {key}, the next" if key else _TIPS[name])
            button.clicked.connect(lambda _on, name=name: self._choose(run, name))
            self.put(button, gives, text)
            made[name] = button
        return made

    def _choose(self, run, name: str) -> None:  # type: ignore[no-untyped-def]
        run(name)
        self._show()  # a click on the one that is chosen would let it go

    def _slider(self) -> QSlider:
        slider = QSlider(Qt.Orientation.Horizontal)
        slider.setRange(0, 100)
        slider.setFixedWidth(72)
        slider.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        slider.setAccessibleName("How much of the right picture is seen")
        slider.setToolTip("How much of the right picture is seen.")
        slider.sliderPressed.connect(self._begin_pull)
        slider.valueChanged.connect(self._pull)
        self.put(slider, 7)  # keys and menu do it too
        return slider

    def _begin_pull(self) -> None:
        self._gesture = self._adjusting.new_gesture()

    def _pull(self, percent: int) -> None:
        self._adjusting.set_opacity(percent / 100, self._gesture or "opacity")

    def _button(self, action: QAction, text: str, gives: int = 0) -> QToolButton:
        button = _plain(text)
        key = action.shortcut().toString()
        button.setAccessibleName(action.text())
        tip = f"{action.text()}: {action.statusTip()}"
        button.setToolTip(f"{tip}\nKey: {key}" if key else tip)
        button.clicked.connect(action.trigger)
        self.put(button, gives, action.text())
        return button

    def _show(self) -> None:
        comparison = self._comparing.selected
        self.setVisible(comparison is not None)
        if comparison is None:
            return
        for name, button in self._layouts.items():
            button.setChecked(name == comparison.layout)
        for name, button in self._timings.items():
            button.setChecked(name == comparison.timing)
        self.want(self._opacity, comparison.layout == "over")
        with QSignalBlocker(self._opacity):
            self._opacity.setValue(round(100 * comparison.opacity))
        self._shift.setText(self._shift_text(comparison))
        self.want(self._shift, comparison.timing == "free")
        self._mirror.setChecked(comparison.fit.mirrored)
        self._lay.setChecked(self._comparing.laying.is_on)

    def _shift_text(self, comparison: Comparison) -> str:
        if comparison.timing != "free":
            return ""
        right = self._comparing.right
        footage = right.footage if right is not None else None
        if footage is None:
            return f"{comparison.shift_s:+.2f} s"
        return f"{round(comparison.shift_s * footage.facts.fps):+d} fr"


def _plain(text: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setAccessibleName(text)
    # The keys do all of this; a focused button would swallow the space bar.
    button.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return button


def menu_button(
    text: str, tip: str, actions: Mapping[str, QAction], names: tuple[str, ...]
) -> QToolButton:
    """Make a button that offers some of the actions."""
    button = _plain(text)
    button.setToolTip(tip)
    button.setAccessibleName(text)
    menu = QMenu(button)
    for name in names:
        menu.addAction(actions[name])
    button.setMenu(menu)
    button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
    return button
