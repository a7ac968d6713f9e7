"""What one action is, and who carries actions out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from app.window.comparing.comparisons import Comparisons
from app.window.desk import Desk
from app.window.drawing.blurring import Blurring
from app.window.drawing.curve_drawing import CurveDrawing
from app.window.drawing.drawing import Drawing
from app.window.force.auto_line_up import AutoLineUp
from app.window.force.findings import Findings
from app.window.force.line_up import LineUp
from app.window.force.target_panel import TargetEditor
from app.window.force.trace_view import TraceView
from app.window.keeping.way_out import WayOut
from app.window.name_panel import NamePanel
from app.window.notes.notes_panel import Notes
from app.window.notes.voice import Voice
from app.window.opening import Opening
from app.window.picture.capture_rate import CaptureRate
from app.window.picture.legend import Legend
from app.window.picture.limits import Limits
from app.window.picture.picture import PictureView
from app.window.picture.sound_player import SoundPlayer
from app.window.picture.strip_view import Strips
from app.window.picture.transport import Transport
from app.window.playhead import Playhead
from app.window.sending.answers import Answers
from app.window.sending.sending import Sending
from app.window.signals.signals import Signals
from app.window.walkthrough.walkthroughs import Walkthroughs


@dataclass(frozen=True)
class Controls:
    """Who carries out the actions."""

    desk: Desk
    playhead: Playhead
    transport: Transport
    notes: Notes
    findings: Findings
    line_up: LineUp
    auto_line_up: AutoLineUp
    target: TargetEditor
    sending: Sending
    opening: Opening
    answers: Answers
    trace: TraceView
    signals: Signals
    picture: PictureView
    drawing: Drawing
    curve_drawing: CurveDrawing
    blurring: Blurring
    legend: Legend
    sound: SoundPlayer
    strips: Strips
    capture_rate: CaptureRate
    limits: Limits
    names: NamePanel
    stop_drawing: Callable[[], None]
    voice: Voice
    comparisons: Comparisons
    walkthroughs: Walkthroughs
    way_out: WayOut
    choose_microphone: Callable[[], None]
    show_flywheel: Callable[[], None]
    show_line_up: Callable[[], None]
    show_thresholds: Callable[[], None]
    show_keys: Callable[[], None]
    search: Callable[[], None]
    quit: Callable[[], None]


@dataclass(frozen=True)
class ActionRow:
    """One action: its name, where it hangs, its keys, what it does and what the help says.

    Attributes
    ----------
    section : the part of a menu it hangs in; `actions.MENUS` says which menu that is
    needs : "" always; "material" something open; "review" a review; "footage"; "force";
        "drawing" while a pen is out, faces are marked or places are asked for; "comparison"
        while two strokes are on screen
    in_bar : also a button under the picture
    """

    name: str
    title: str
    section: str
    keys: tuple[str, ...]
    help: str
    run: Callable[[Controls], None]
    needs: str = ""
    in_bar: str = ""
