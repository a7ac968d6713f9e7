"""The actions of looking: moving, the picture, the trace."""

from __future__ import annotations

from dataclasses import replace

from app.review.changes import TurnPicture
from app.window.action_row import ActionRow
from app.window.desk import Desk

LIFT_STEP = 0.25


def turn_picture(desk: Desk) -> None:
    """Turn the picture a quarter turn clockwise."""
    turn = desk.state.turn
    desk.do(TurnPicture(replace(turn, quarter_turns=(turn.quarter_turns + 1) % 4)))


def lift_picture(desk: Desk, step: float) -> None:
    """Raise the dark parts of the picture, or let them down again."""
    turn = desk.state.turn
    desk.do(TurnPicture(replace(turn, lift=min(max(turn.lift + step, 0.0), 1.0))))


def mirror_picture(desk: Desk) -> None:
    """Mirror the picture left to right."""
    turn = desk.state.turn
    desk.do(TurnPicture(replace(turn, mirrored=not turn.mirrored)))


MOVE: tuple[ActionRow, ...] = (
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
        "reverse",
        "Play backwards",
        "Move",
        ("Backspace",),
        "Let time run backwards from here; again to stop.",
        lambda c: c.playhead.reverse(),
        needs="material",
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
        "sound",
        "Sound on / off",
        "Move",
        ("S",),
        "Hear the footage while it plays at its own speed, or not.",
        lambda c: c.sound.toggle(),
        needs="footage",
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
)

PICTURE: tuple[ActionRow, ...] = (
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
        "lighter",
        "Lighter",
        "Picture",
        ("B",),
        "Raise the dark parts of the picture; stills and clips in the bundle follow.",
        lambda c: lift_picture(c.desk, LIFT_STEP),
        needs="footage",
    ),
    ActionRow(
        "darker",
        "Darker",
        "Picture",
        ("Shift+B",),
        "Let the dark parts down again, as filmed at the end.",
        lambda c: lift_picture(c.desk, -LIFT_STEP),
        needs="footage",
    ),
    ActionRow(
        "closer",
        "Closer",
        "Picture",
        ("Z",),
        "Zoom into the picture; drag it to look elsewhere. Ctrl and the wheel do the same.",
        lambda c: c.picture.zoom_by(1.5),
        needs="footage",
    ),
    ActionRow(
        "farther",
        "Farther",
        "Picture",
        ("Shift+Z",),
        "Zoom out of the picture.",
        lambda c: c.picture.zoom_by(1 / 1.5),
        needs="footage",
    ),
    ActionRow(
        "whole_picture",
        "The whole picture",
        "Picture",
        ("0",),
        "Show the whole picture again; a double click does the same.",
        lambda c: c.picture.zoom_to_fit(),
        needs="footage",
    ),
    ActionRow(
        "lens",
        "Magnifying glass",
        "Picture",
        ("G",),
        "Carry a magnifying glass under the pointer, or put it away.",
        lambda c: c.picture.toggle_lens(),
        needs="footage",
    ),
    ActionRow(
        "numbers",
        "Time and frame in the picture",
        "Picture",
        ("I",),
        "Show the time and the frame number in the corner of the picture.",
        lambda c: c.legend.toggle_numbers(),
        needs="footage",
    ),
    ActionRow(
        "stopwatch",
        "Stopwatch from here",
        "Picture",
        ("W",),
        "Count from this moment, forwards and backwards; again to put it away.",
        lambda c: c.legend.toggle_stopwatch(),
        needs="footage",
    ),
)

TRACE: tuple[ActionRow, ...] = (
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
        "auto_line_up",
        "Line up by itself",
        "Trace",
        ("Ctrl+L",),
        "Find how footage and force lie to each other from what both show of the strokes.",
        lambda c: c.auto_line_up.run(),
        needs="force",
    ),
    ActionRow(
        "next_candidate",
        "Next candidate of the line-up",
        "Trace",
        ("J",),
        "Where several strokes fit, lay the trace as the next likely line-up has it.",
        lambda c: c.auto_line_up.next_candidate(),
        needs="force",
    ),
    ActionRow(
        "show_line_up",
        "Look at the line-up",
        "Trace",
        ("Shift+L",),
        "See five catches and the two signals over each other; nudge and lock.",
        lambda c: c.show_line_up(),
        needs="force",
    ),
    ActionRow(
        "nudge_earlier",
        "Trace one frame earlier",
        "Trace",
        ("[",),
        "Move the trace one frame earlier under the footage.",
        lambda c: c.auto_line_up.nudge_frame(-1),
        needs="force",
    ),
    ActionRow(
        "nudge_later",
        "Trace one frame later",
        "Trace",
        ("]",),
        "Move the trace one frame later under the footage.",
        lambda c: c.auto_line_up.nudge_frame(1),
        needs="force",
    ),
    ActionRow(
        "nudge_sample_earlier",
        "Trace one sample earlier",
        "Trace",
        ("Shift+[", "{"),
        "Move the trace one sample earlier under the footage.",
        lambda c: c.auto_line_up.nudge_sample(-1),
        needs="force",
    ),
    ActionRow(
        "nudge_sample_later",
        "Trace one sample later",
        "Trace",
        ("Shift+]", "}"),
        "Move the trace one sample later under the footage.",
        lambda c: c.auto_line_up.nudge_sample(1),
        needs="force",
    ),
    ActionRow(
        "lock_line_up",
        "Lock the line-up",
        "Trace",
        (),
        "Say that you have looked and that it is right.",
        lambda c: c.auto_line_up.lock(),
        needs="force",
    ),
    ActionRow(
        "by_itself",
        "Line up new submissions, or only when asked",
        "Trace",
        (),
        "Switch whether a new submission is lined up on opening.",
        lambda c: c.auto_line_up.toggle_by_itself(),
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
)
