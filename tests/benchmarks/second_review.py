"""Actions of a first review, and of the second of a known athlete with a shelf.

Run: `python -m tests.benchmarks.second_review`. Every key and click is a real event of the toolkit
on the whole window; a run of typing in one field counts as one action. Hands and eyes are not
measured: the seconds are the machine's, and what hands take is reckoned beside from Card, Moran and
Newell 1980 (1.35 s to decide, 0.28 s a key, 1.1 s to point), with 15 s to look at each finding.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
_HOME = tempfile.mkdtemp(prefix="second-review-")
os.environ.update(
    HOME=_HOME, **{f"XDG_{what}_HOME": f"{_HOME}/{what}" for what in ("DATA", "CONFIG", "CACHE")}
)

from PySide6.QtCore import QPoint, Qt  # noqa: E402
from PySide6.QtTest import QTest  # noqa: E402
from PySide6.QtWidgets import QApplication, QPlainTextEdit, QWidget  # noqa: E402
from shiboken6 import isValid  # noqa: E402

from app.prepared.sample_review import sample_review  # noqa: E402
from app.review.parts.about import SetAthlete  # noqa: E402
from app.window.features.annotations.annotation_tools import AnnotationTools  # noqa: E402
from app.window.features.athletes.first_screen import FirstScreen  # noqa: E402
from app.window.features.last_time.last_time_panel import LastTimePanel  # noqa: E402
from app.window.features.notes.notes_panel import NotesPanel  # noqa: E402
from app.window.features.sending.sending_check import SendCheck  # noqa: E402
from app.window.main_window import MainWindow  # noqa: E402
from app.window.session.selection import Selection  # noqa: E402
from app.window.session.settings import Settings  # noqa: E402
from app.window.sound.microphone_use import MicrophoneUse  # noqa: E402
from app.window.widgets.theme import dress  # noqa: E402
from tests.helpers.voices import FakeMicrophones  # noqa: E402

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
DECIDE_S, KEY_S, POINT_S, LOOK_S = 1.35, 0.28, 1.1, 15.0
SENTENCE = "As in our last talk: heavy hands, long arms."


class Hands:
    """Does what a coach does, and counts it."""

    def __init__(self, window: MainWindow) -> None:
        self.window = window
        self.done: list[str] = []
        self.hand_s = 0.0
        self._begun, self._cpu = time.monotonic(), time.process_time()

    def key(self, key: Qt.Key, on: QWidget | None = None, with_ctrl: bool = False) -> None:
        """Press a key."""
        held = CTRL if with_ctrl else Qt.KeyboardModifier.NoModifier
        QTest.keyClick(on or self.window, key, held)
        self._count(f"{'Ctrl+' if with_ctrl else ''}{Key(key).name[4:]}", KEY_S)

    def write(self, on: QWidget, text: str) -> None:
        """Type a run of words."""
        QTest.keyClicks(on, text)
        self._count("typing", KEY_S * len(text))

    def click(self, on: QWidget, at: QPoint | None = None) -> None:
        """Click."""
        QTest.mouseClick(on, Qt.MouseButton.LeftButton, pos=at or on.rect().center())
        self._count("click", POINT_S)

    def drag(self, on: QWidget, begin: QPoint, end: QPoint) -> None:
        """Draw from one place to another."""
        QTest.mousePress(on, Qt.MouseButton.LeftButton, pos=begin)
        for share in (0.3, 0.6, 1.0):
            QTest.mouseMove(on, begin + (end - begin) * share)
        QTest.mouseRelease(on, Qt.MouseButton.LeftButton, pos=end)
        self._count("drag", 2 * POINT_S)

    def _count(self, what: str, hand_s: float) -> None:
        self.done.append(what)
        self.hand_s += DECIDE_S + hand_s
        rest(self.window)

    def report(self, title: str, findings: int) -> None:
        """Print what it took."""
        looked = self.hand_s + LOOK_S * findings
        machine = time.monotonic() - self._begun
        cpu = time.process_time() - self._cpu
        sys.stdout.write(
            f"{title}: {len(self.done)} actions ({', '.join(self.done)}); reckoned hand and eye "
            f"{looked:.0f} s for {findings} findings; machine {machine:.0f} s ({cpu:.0f} CPU s)\n"
        )


def rest(window: MainWindow) -> None:
    """Wait until nothing runs."""
    QTest.qWait(40)
    for _ in range(6000):
        if not window.jobs.running and _is_shown(window):
            return
        QTest.qWait(10)


def _is_shown(window: MainWindow) -> bool:
    """Whether the frame that is wanted is on the screen."""
    footage, frame = window.session.footage, window.picture.frame
    if footage is None or window.session.review is None:
        return True
    return frame is not None and frame.index == footage.index.at(window.playhead.moment_s)


def window_in(folder: Path) -> MainWindow:
    """A whole window, shown."""
    window = MainWindow(Settings(folder / "settings.json"))
    window[MicrophoneUse].microphones = FakeMicrophones()
    window.resize(1280, 800)
    window.show()
    window.activateWindow()
    QTest.qWaitForWindowActive(window)
    rest(window)
    return window


def named(window: MainWindow, review: Path, title: str) -> None:
    """What a batch does overnight: the draft is there, and whose it is."""
    window.session.open_review(review)
    rest(window)
    window.session.do(SetAthlete("Ada", title))
    for _ in range(2000):
        if not window.session.safe.unsaved:
            break
        QTest.qWait(10)
    window.filling.keep_now()
    rest(window)


def send(hands: Hands) -> None:
    """Open the panel, say that the athlete agrees where nobody did yet, and send."""
    window = hands.window
    hands.key(Key.Key_E, with_ctrl=True)
    (check,) = window.findChildren(SendCheck)
    if window.session.state.sending.consent is not True:
        check.consent.setFocus()
        hands.key(Key.Key_Down, check.consent)
        check.consent.activated.emit(check.consent.currentIndex())
        rest(window)
    hands.key(Key.Key_Return, check)
    while isValid(check) and check.isVisible():  # it asks once more, or still prepares
        if "anyway" in check.send.text().lower():
            hands.click(check.send)
        QTest.qWait(50)
    rest(window)


def first(window: MainWindow) -> Hands:
    """Three findings worded and drawn by hand, each kept on the shelf afterwards (not counted)."""
    hands = Hands(window)
    words = words_of(window)
    for n in range(len(faults(window))):
        hands.key(Key.Key_F)
        hands.key(Key.Key_E)
        hands.write(words, f"{n + 1}: hold the handle as a rope is held, and push. ")
        hands.key(Key.Key_Escape, words)
        hands.key(Key.Key_2)
        sheet = window[AnnotationTools].marks
        middle = sheet.rect().center()
        hands.drag(sheet, middle, middle + QPoint(90 + 20 * n, -40))
        hands.key(Key.Key_Escape)
    send(hands)
    hands.report("First review", len(faults(window)))
    for note in window.session.state.notes:
        window[Selection].choose_note(note.id)
        window.menus.actions["keep_explanation"].trigger()
        rest(window)
    return hands


def second(window: MainWindow, count: int) -> Hands:
    """From the first screen to the bundle."""
    hands = Hands(window)
    hands.key(Key.Key_Return, window[FirstScreen].page.search)
    for _ in range(2000):
        if window.session.review is not None and window.session.submission.is_judged:
            break
        QTest.qWait(10)
    rest(window)
    panel = window[LastTimePanel]
    bar = window.tabs.tabBar()
    hands.click(bar, bar.tabRect(window.tabs.indexOf(panel)).center())
    for _ in range(count):
        hands.key(Key.Key_U)
    words = words_of(window)
    hands.click(words)
    hands.write(words, SENTENCE)
    hands.key(Key.Key_Escape, words)
    send(hands)
    hands.report("Second review, with a shelf", count)
    return hands


def words_of(window: MainWindow) -> QPlainTextEdit:
    """Where the words of a note are typed."""
    panel = window.tabs.findChild(NotesPanel)
    words = None if panel is None else panel.findChild(QPlainTextEdit)
    assert isinstance(words, QPlainTextEdit)
    return words


def faults(window: MainWindow) -> list[str]:
    """Codes of what was found."""
    return [f.code for f in window.session.submission.findings if not f.good]


def main() -> int:
    """Drive both and print them; 1 where the second takes more than 12 actions."""
    app = QApplication.instance() or QApplication([])
    assert isinstance(app, QApplication)
    dress(app)
    folder = Path(tempfile.mkdtemp(prefix="second-review-"))
    window = window_in(folder)
    named(window, sample_review(folder / "first"), "First")
    first(window)
    count = len(faults(window))
    named(window, sample_review(folder / "second"), "Second")
    window.close()
    window = window_in(folder)
    window[FirstScreen].begin(lambda: None)
    rest(window)
    hands = second(window, count)
    state = window.session.state
    sys.stdout.write(
        f"In the second: {len(state.notes)} notes, {len(state.marks)} marks, title "
        f"{state.title!r}, said “{window.message_line.text}”\n"
    )
    window.close()
    return int(len(hands.done) > 12)


if __name__ == "__main__":
    sys.exit(main())
