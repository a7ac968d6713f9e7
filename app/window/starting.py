"""Making the bench in a window that is on the screen already, a small step at a time."""

from __future__ import annotations

import contextlib
import importlib
import threading
from collections.abc import Callable, Iterator
from pkgutil import iter_modules

from PySide6.QtCore import QObject, QTimer

from app.window import features
from app.window.main_window import MainWindow

# A window that is never painted, because it is covered or put away, is made all the same.
UNPAINTED_MS = 500
TOOLKIT = ("PySide6.QtCore", "PySide6.QtGui", "PySide6.QtWidgets")
AT_A_TIME = 80  # types of the toolkit, each made when it is first asked for
# From below upwards, so that each brings little with it. What is not named comes with the rooms
# that need it; a name that is not needed any more only costs time.
MODULES = (
    "_ctypes",
    "ctypes",
    "pickle",
    "numpy",
    "numpy.typing",
    "sqlite3",
    "app.review.values.part",
    "app.review.values.stroke_ref",
    "app.review.parts.marks",
    "app.review.parts.comparisons",
    "app.review.parts.walk_events",
    "analysis.force.trace",
    "analysis.signals.curves",
    "analysis.measures.measures",
    "analysis.force.strokes",
    "analysis.force.piece",
    "app.bundle.wording.measure_words",
    "analysis.comparing.curves",
    "app.scene.shapes",
    "app.scene.force_curve",
    "app.review.parts.body",
    "app.review.parts.findings",
    "app.review.parts.sections",
    "app.review.parts.sending",
    "app.review.parts.target",
    "app.review.parts.walkthroughs",
    "analysis.clocks.alignment",
    "app.review.parts.line_up",
    "app.review.parts.media",
    "app.review.parts.blurs",
    "app.review.parts.curve_marks",
    "app.review.parts.read_curves",
    "app.review.parts.self_test",
    "app.review.parts.state",
    "app.review.recordings",
    "app.submission.submission",
    "app.window.tasks.message_line",
    "app.window.session.safekeeping",
    "app.window.session.review_session",
    "app.window.views.transport",
    "app.window.views.picture",
    "xml.etree.ElementTree",
    "multiprocessing.context",
    "pydoc",
    "PySide6.QtSvg",
    "PySide6.QtOpenGL",
    "PySide6.QtOpenGLWidgets",
    "pyqtgraph",
    "app.window.views.trace_view",
    "app.window.views.curve_view",
    "app.window.views.showing",
    "app.window.actions.menus",
    "app.review.file.schema",
    "app.review.file.store",
    "app.review.review",
    "analysis.sections.finding_sections",
    "app.submission.load",
    "app.submission.resolving",
    "app.review.reference_library",
    "app.prepared.reference_strokes",
    "analysis.clocks.trace_signal",
    "analysis.clocks.candidates",
    "analysis.clocks.matching",
)


# Each is one import that no name above parts: a thread has it made, a turn at a time. They make no
# object of Qt, which would belong to that thread.
ASIDE = frozenset({"numpy", "pyqtgraph"})
WAIT_S = 0.004  # in which the thread has the interpreter, and the window has not


class Starting(QObject):
    """Goes through the steps of a window that is shown, once it was painted.

    Parameters
    ----------
    then : called when the bench is made
    """

    def __init__(self, window: MainWindow, then: Callable[[], None]) -> None:
        super().__init__(window)
        self._window, self._then = window, then
        self._steps = _all_steps(window)
        self._turn = QTimer(self, interval=0)
        self._turn.timeout.connect(self._go_on)
        # A step must not begin inside the painting of the page.
        window.opening_page.painted.connect(self._turn.start)
        self._unpainted = QTimer(self, singleShot=True, interval=UNPAINTED_MS)
        self._unpainted.timeout.connect(self._turn.start)
        self._unpainted.start()

    def stop(self) -> None:
        """Make no more."""
        self._turn.stop()
        self._unpainted.stop()

    def _go_on(self) -> None:
        if not self._window.isVisible():  # closed meanwhile
            self.stop()
            return
        try:
            next(self._steps)
        except StopIteration:
            self.stop()
            self._then()
        except Exception:
            self.stop()
            raise


def _all_steps(window: MainWindow) -> Iterator[None]:
    yield from _types_of_toolkit()
    for name in MODULES:
        if name in ASIDE:
            yield from _imported_aside(name)
        importlib.import_module(name)
        yield
    for feature in iter_modules(features.__path__, f"{features.__name__}."):
        for part in ("actions", "feature"):
            # Not each has both; the list of features says what there has to be.
            with contextlib.suppress(ModuleNotFoundError):
                importlib.import_module(f"{feature.name}.{part}")
            yield
    yield from window.steps


def _imported_aside(name: str) -> Iterator[None]:
    """Import in a thread; what goes wrong there goes wrong again where it is looked at."""

    def load() -> None:
        with contextlib.suppress(Exception):
            importlib.import_module(name)

    thread = threading.Thread(target=load, name=f"importing {name}", daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(WAIT_S)
        yield


def _types_of_toolkit() -> Iterator[None]:
    """Have the types made that the plots would ask for all at once, in a tenth of a second."""
    for name in TOOLKIT:
        module = importlib.import_module(name)
        names = dir(module)
        for at in range(0, len(names), AT_A_TIME):
            for wanted in names[at : at + AT_A_TIME]:
                getattr(module, wanted)
            yield
