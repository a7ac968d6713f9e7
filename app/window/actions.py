"""The one table of actions. Menus, keys, the key card and the search are all made from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from app.review.changes import TurnPicture
from app.window.desk import Desk
from app.window.line_up import LineUp
from app.window.name_panel import NamePanel
from app.window.notes_panel import Notes
from app.window.opening import Opening
from app.window.playhead import Playhead
from app.window.sending import Sending
from app.window.target_panel import TargetEditor
from app.window.trace_view import TraceView
from app.window.transport import Transport


@dataclass(frozen=True)
class Controls:
    """Who carries out the actions."""

    desk: Desk
    playhead: Playhead
    transport: Transport
    notes: Notes
    line_up: LineUp
    target: TargetEditor
    sending: Sending
    opening: Opening
    trace: TraceView
    names: NamePanel
    show_keys: Callable[[], None]
    search: Callable[[], None]
    quit: Callable[[], None]


@dataclass(frozen=True)
class ActionRow:
    """One action: its name, where it hangs, its keys, what it does and what the help says.

    Attributes
    ----------
    needs : "" always; "material" something open; "review" a review; "footage"; "force"
    in_bar : also a button under the picture
    """

    name: str
    title: str
    menu: str
    keys: tuple[str, ...]
    help: str
    run: Callable[[Controls], None]
    needs: str = ""
    in_bar: str = ""


def turn_picture(desk: Desk) -> None:
    """Turn the picture a quarter turn clockwise."""
    turn = desk.state.turn
    desk.do(TurnPicture(replace(turn, quarter_turns=(turn.quarter_turns + 1) % 4)))


def mirror_picture(desk: Desk) -> None:
    """Mirror the picture left to right."""
    turn = desk.state.turn
    desk.do(TurnPicture(replace(turn, mirrored=not turn.mirrored)))


ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "open",
        "Open footage, force or a review …",
        "Submission",
        ("Ctrl+O",),
        "Choose an athlete's footage and force file together, or a review begun before.",
        lambda c: c.opening.choose(),
    ),
    ActionRow(
        "find",
        "Find a recording …",
        "Submission",
        (),
        "Point to where the review's footage or force file lies now.",
        lambda c: c.opening.find_recording(),
        needs="review",
    ),
    ActionRow(
        "sample",
        "Open the sample submission",
        "Submission",
        (),
        "Try the bench on a simulated athlete.",
        lambda c: c.opening.open_sample(),
    ),
    ActionRow(
        "name",
        "Name the athlete",
        "Submission",
        ("F2",),
        "Type the athlete's name and the title that the bundle shows.",
        lambda c: c.names.begin(),
        needs="review",
    ),
    ActionRow(
        "send",
        "Write the feedback bundle",
        "Submission",
        ("Ctrl+E",),
        "Write what the athlete gets, as a folder beside the review.",
        lambda c: c.sending.write(),
        needs="review",
    ),
    ActionRow(
        "send_zip",
        "Write the bundle as one zip file",
        "Submission",
        (),
        "The same bundle packed for sending.",
        lambda c: c.sending.write("zip"),
        needs="review",
    ),
    ActionRow(
        "send_page",
        "Write the bundle as one web page",
        "Submission",
        (),
        "The same bundle as a single file that opens anywhere.",
        lambda c: c.sending.write("page"),
        needs="review",
    ),
    ActionRow(
        "quit",
        "Quit",
        "Submission",
        ("Ctrl+Q",),
        "Close the bench; everything is saved already.",
        lambda c: c.quit(),
    ),
    ActionRow(
        "undo",
        "Undo",
        "Edit",
        ("Ctrl+Z",),
        "Take the last change of the review back.",
        lambda c: c.desk.undo(),
        needs="review",
    ),
    ActionRow(
        "redo",
        "Redo",
        "Edit",
        ("Ctrl+Shift+Z", "Ctrl+Y"),
        "Do again what was taken back.",
        lambda c: c.desk.redo(),
        needs="review",
    ),
    ActionRow(
        "play",
        "Play / pause",
        "Move",
        ("Space",),
        "Let time run, or stop on the frame shown.",
        lambda c: c.playhead.toggle(),
        needs="material",
        in_bar="Play",
    ),
    ActionRow(
        "step_back",
        "One frame back",
        "Move",
        ("Left", ","),
        "Step one frame back; hold to run.",
        lambda c: c.playhead.step(-1),
        needs="material",
        in_bar="◂ Frame",
    ),
    ActionRow(
        "step_on",
        "One frame on",
        "Move",
        ("Right", "."),
        "Step one frame on; hold to run.",
        lambda c: c.playhead.step(1),
        needs="material",
        in_bar="Frame ▸",
    ),
    ActionRow(
        "previous_catch",
        "Previous catch",
        "Move",
        ("Up",),
        "Go to the catch before.",
        lambda c: c.transport.previous_catch(),
        needs="force",
        in_bar="◂ Catch",
    ),
    ActionRow(
        "next_catch",
        "Next catch",
        "Move",
        ("Down",),
        "Go to the next catch.",
        lambda c: c.transport.next_catch(),
        needs="force",
        in_bar="Catch ▸",
    ),
    ActionRow(
        "previous_finish",
        "Previous finish",
        "Move",
        ("Shift+Up",),
        "Go to the finish before.",
        lambda c: c.transport.previous_finish(),
        needs="force",
    ),
    ActionRow(
        "next_finish",
        "Next finish",
        "Move",
        ("Shift+Down",),
        "Go to the next finish.",
        lambda c: c.transport.next_finish(),
        needs="force",
    ),
    ActionRow(
        "slower",
        "Slower",
        "Move",
        ("-",),
        "Play slower, down to a tenth.",
        lambda c: c.playhead.change_speed(-1),
        in_bar="−",
    ),
    ActionRow(
        "faster",
        "Faster",
        "Move",
        ("=", "+"),
        "Play faster, up to twice.",
        lambda c: c.playhead.change_speed(1),
        in_bar="+",
    ),
    ActionRow(
        "loop",
        "Loop this stroke",
        "Move",
        ("R",),
        "Play the stroke under the playhead round and round; again to go on.",
        lambda c: c.transport.loop_stroke(),
        needs="force",
        in_bar="Loop",
    ),
    ActionRow(
        "start",
        "To the start",
        "Move",
        ("Home",),
        "Go to the first moment.",
        lambda c: c.transport.go_to_start(),
        needs="material",
    ),
    ActionRow(
        "end",
        "To the end",
        "Move",
        ("End",),
        "Go to the last moment.",
        lambda c: c.transport.go_to_end(),
        needs="material",
    ),
    ActionRow(
        "turn",
        "Turn the picture",
        "Picture",
        ("Ctrl+R",),
        "Turn the picture a quarter turn clockwise.",
        lambda c: turn_picture(c.desk),
        needs="footage",
    ),
    ActionRow(
        "mirror",
        "Mirror the picture",
        "Picture",
        ("M",),
        "Mirror the picture left to right.",
        lambda c: mirror_picture(c.desk),
        needs="footage",
        in_bar="Mirror",
    ),
    ActionRow(
        "zoom_in",
        "Less time on the trace",
        "Trace",
        ("Ctrl++", "Ctrl+="),
        "Show a shorter stretch of the force trace.",
        lambda c: c.trace.zoom(0.5),
        needs="force",
    ),
    ActionRow(
        "zoom_out",
        "More time on the trace",
        "Trace",
        ("Ctrl+-",),
        "Show a longer stretch of the force trace.",
        lambda c: c.trace.zoom(2.0),
        needs="force",
    ),
    ActionRow(
        "zoom_all",
        "The whole piece",
        "Trace",
        ("Ctrl+0",),
        "Show the whole force trace.",
        lambda c: c.trace.zoom_all(),
        needs="force",
    ),
    ActionRow(
        "line_up",
        "Mark this catch for the line-up",
        "Trace",
        ("L",),
        "Step to a catch in the picture, press, then click the same catch on the trace.",
        lambda c: c.line_up.mark(),
        needs="material",
        in_bar="Line up",
    ),
    ActionRow(
        "clear_line_up",
        "Clear the line-up",
        "Trace",
        (),
        "Forget the pairs; both recordings count from their own start again.",
        lambda c: c.line_up.clear(),
        needs="review",
    ),
    ActionRow(
        "note",
        "Note here",
        "Note",
        ("N",),
        "Pin a note to this moment and type; Esc when done. Playing goes on.",
        lambda c: c.notes.drop(),
        needs="review",
        in_bar="Note",
    ),
    ActionRow(
        "delete_note",
        "Delete the note",
        "Note",
        ("Delete",),
        "Take the chosen note away.",
        lambda c: c.notes.delete(),
        needs="review",
    ),
    ActionRow(
        "target_steady",
        "Target for steady rowing",
        "Target",
        ("T",),
        "A soft build-up, a plateau that reaches late, then a decline.",
        lambda c: c.target.use_preset("steady"),
        needs="force",
    ),
    ActionRow(
        "target_race",
        "Target for racing",
        "Target",
        ("Shift+T",),
        "A softer catch and a shorter plateau.",
        lambda c: c.target.use_preset("racing"),
        needs="force",
    ),
    ActionRow(
        "target_draw",
        "Draw the target",
        "Target",
        ("D",),
        "Draw the curve to row towards with the mouse.",
        lambda c: c.target.toggle_drawing(),
        needs="force",
    ),
    ActionRow(
        "target_remove",
        "Remove the target",
        "Target",
        (),
        "Take the target curve away.",
        lambda c: c.target.remove(),
        needs="review",
    ),
    ActionRow(
        "keys",
        "Keys",
        "Help",
        ("F1",),
        "Show every action with its key.",
        lambda c: c.show_keys(),
    ),
    ActionRow(
        "search",
        "Find an action",
        "Help",
        ("Ctrl+K",),
        "Type a few letters of what you want to do.",
        lambda c: c.search(),
    ),
)
