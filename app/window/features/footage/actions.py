"""The actions of moving and looking."""

from __future__ import annotations

from dataclasses import replace

from app.review.parts.picture import TurnPicture
from app.window.actions.action_row import ActionRow
from app.window.actions.context import ActionContext
from app.window.features.footage.capture_rate import CaptureRate
from app.window.features.footage.legend import Legend
from app.window.features.footage.limits import Limits
from app.window.session.playhead import Playhead
from app.window.session.review_session import ReviewSession
from app.window.tasks.message_line import Messages
from app.window.views.picture import PictureView
from app.window.views.sound_player import SoundPlayer
from app.window.views.trace_view import TraceView
from app.window.views.transport import Transport

LIFT_STEP = 0.25


def turn_picture(session: ReviewSession) -> None:
    """Turn the picture a quarter turn clockwise."""
    turn = session.state.turn
    session.do(TurnPicture(replace(turn, quarter_turns=(turn.quarter_turns + 1) % 4)))


def lift_picture(session: ReviewSession, step: float) -> None:
    """Raise the dark parts of the picture, or let them down again."""
    turn = session.state.turn
    session.do(TurnPicture(replace(turn, lift=min(max(turn.lift + step, 0.0), 1.0))))


def mirror_picture(session: ReviewSession) -> None:
    """Mirror the picture left to right."""
    turn = session.state.turn
    session.do(TurnPicture(replace(turn, mirrored=not turn.mirrored)))


def _toggle_sound(c: ActionContext) -> None:
    sound = c[SoundPlayer]
    sound.toggle()
    c[Messages].say("The sound is off." if sound.is_muted else "The sound is on.")


ACTIONS: tuple[ActionRow, ...] = (
    ActionRow(
        "play",
        "Play / pause",
        "Play",
        ("Space",),
        "Let time run, or stop on the frame shown.",
        lambda c: c[Playhead].toggle(),
        needs="recordings",
        in_bar="Play",
        also="start stop pause run watch",
    ),
    ActionRow(
        "reverse",
        "Play backwards",
        "Play",
        ("Backspace",),
        "Let time run backwards from here; again to stop.",
        lambda c: c[Playhead].reverse(),
        needs="recordings",
        also="rewind backward",
        is_on=lambda c: c[Playhead].is_playing and c[Playhead].is_backwards,
    ),
    ActionRow(
        "step_back",
        "One frame back",
        "Step",
        ("Left", ","),
        "Step one frame back; hold to run.",
        lambda c: c[Playhead].step(-1),
        needs="recordings",
        in_bar="◂",
        also="frame previous scrub jog",
    ),
    ActionRow(
        "step_on",
        "One frame on",
        "Step",
        ("Right", "."),
        "Step one frame on; hold to run.",
        lambda c: c[Playhead].step(1),
        needs="recordings",
        in_bar="▸",
        also="frame next advance scrub jog",
    ),
    ActionRow(
        "previous_catch",
        "Previous catch",
        "Step",
        ("Up",),
        "Go to the catch before.",
        lambda c: c[Transport].previous_catch(),
        needs="strokes",
        in_bar="◂",
        also="stroke jump goto",
    ),
    ActionRow(
        "next_catch",
        "Next catch",
        "Step",
        ("Down",),
        "Go to the next catch.",
        lambda c: c[Transport].next_catch(),
        needs="strokes",
        in_bar="▸",
        also="stroke jump goto",
    ),
    ActionRow(
        "previous_finish",
        "Previous finish",
        "Step",
        ("Shift+Up",),
        "Go to the finish before.",
        lambda c: c[Transport].previous_finish(),
        needs="strokes",
    ),
    ActionRow(
        "next_finish",
        "Next finish",
        "Step",
        ("Shift+Down",),
        "Go to the next finish.",
        lambda c: c[Transport].next_finish(),
        needs="strokes",
    ),
    ActionRow(
        "slower",
        "Slower",
        "Play",
        ("-",),
        "Play slower, down to a tenth.",
        lambda c: c[Playhead].change_speed(-1),
        needs="recordings",
        in_bar="−",
        also="slow motion speed",
    ),
    ActionRow(
        "faster",
        "Faster",
        "Play",
        ("=", "+"),
        "Play faster, up to twice.",
        lambda c: c[Playhead].change_speed(1),
        needs="recordings",
        in_bar="+",
        also="speed",
    ),
    ActionRow(
        "sound",
        "Sound on / off",
        "Play",
        ("S",),
        "Hear the footage while it plays at its own speed, or not.",
        _toggle_sound,
        needs="footage",
        also="audio mute volume silence",
        is_on=lambda c: not c[SoundPlayer].is_muted,
    ),
    ActionRow(
        "loop",
        "Loop this stroke",
        "Play",
        ("R",),
        "Play the stroke under the playhead round and round; again to go on.",
        lambda c: c[Transport].loop_stroke(),
        needs="strokes",
        in_bar="Loop",
        also="repeat cycle",
        is_on=lambda c: c[Playhead].loop is not None,
    ),
    ActionRow(
        "start",
        "To the start",
        "Step",
        ("Home",),
        "Go to the first moment.",
        lambda c: c[Transport].go_to_start(),
        needs="recordings",
        also="beginning first jump goto",
    ),
    ActionRow(
        "end",
        "To the end",
        "Step",
        ("End",),
        "Go to the last moment.",
        lambda c: c[Transport].go_to_end(),
        needs="recordings",
        also="last",
    ),
    ActionRow(
        "turn",
        "Turn the picture",
        "View",
        (),
        "Turn the picture a quarter turn clockwise.",
        lambda c: turn_picture(c[ReviewSession]),
        needs="footage",
        also="rotate orientation portrait upright",
    ),
    ActionRow(
        "mirror",
        "Mirror the picture",
        "View",
        ("M",),
        "Mirror the picture left to right.",
        lambda c: mirror_picture(c[ReviewSession]),
        needs="footage",
        also="flip reverse side",
        is_on=lambda c: c[ReviewSession].state.turn.mirrored,
    ),
    ActionRow(
        "lighter",
        "Lighter",
        "Light",
        ("B",),
        "Raise the dark parts of the picture; stills and clips in the bundle follow.",
        lambda c: lift_picture(c[ReviewSession], LIFT_STEP),
        needs="footage",
        also="brightness brighter exposure dark contrast",
    ),
    ActionRow(
        "darker",
        "Darker",
        "Light",
        ("Shift+B",),
        "Let the dark parts down again, as filmed at the end.",
        lambda c: lift_picture(c[ReviewSession], -LIFT_STEP),
        needs="footage",
        also="brightness exposure contrast",
    ),
    ActionRow(
        "closer",
        "Zoom in",
        "View",
        ("Z",),
        "Zoom into the picture; drag it to look elsewhere. Ctrl and the wheel do the same.",
        lambda c: c[PictureView].zoom_by(1.5),
        needs="footage",
        also="zoom magnify enlarge font size bigger",
    ),
    ActionRow(
        "farther",
        "Zoom out",
        "View",
        (),
        "Zoom out of the picture.",
        lambda c: c[PictureView].zoom_by(1 / 1.5),
        needs="footage",
        also="zoom shrink",
    ),
    ActionRow(
        "whole_picture",
        "Fit the picture",
        "View",
        ("0",),
        "Show the whole picture again; a double click does the same.",
        lambda c: c[PictureView].zoom_to_fit(),
        needs="footage",
        also="zoom reset fit fullscreen full",
    ),
    ActionRow(
        "lens",
        "Magnifying glass",
        "View",
        ("G",),
        "Show a magnifying glass under the pointer, or hide it.",
        lambda c: c[PictureView].toggle_lens(),
        needs="footage",
        also="magnifier loupe zoom enlarge",
        is_on=lambda c: c[PictureView].has_lens,
    ),
    ActionRow(
        "slow_motion",
        "Slow motion …",
        "How long?",
        (),
        "Say how many frames a second were recorded, so that seconds are those of the movement.",
        lambda c: c[CaptureRate].ask(),
        needs="footage",
        also="fps frame rate high speed",
    ),
    ActionRow(
        "limits",
        "Memory and disk …",
        "Settings",
        (),
        "Say how much memory and disk the picture may take.",
        lambda c: c[Limits].ask(),
        also="preferences settings options cache performance slow storage space",
    ),
    ActionRow(
        "numbers",
        "Time and frame in the picture",
        "How long?",
        (),
        "Show the time and the frame number in the corner of the picture.",
        lambda c: c[Legend].toggle_numbers(),
        needs="footage",
        also="timecode clock counter overlay",
        is_on=lambda c: c[Legend].has_numbers,
    ),
    ActionRow(
        "time_from_here",
        "Time from here",
        "How long?",
        (),
        "Mark this moment; the picture then says how far before or after it another one lies.",
        lambda c: c[Legend].toggle_time_from_here(),
        needs="footage",
        also="stopwatch timer time measure duration",
        is_on=lambda c: c[Legend].measures_time,
    ),
    ActionRow(
        "zoom_in",
        "Zoom in on the trace",
        "Trace",
        (),
        "Show a shorter stretch of the trace.",
        lambda c: c[TraceView].zoom(0.5),
        needs="strokes",
        also="magnify enlarge timeline scrub",
    ),
    ActionRow(
        "zoom_out",
        "Zoom out on the trace",
        "Trace",
        (),
        "Show a longer stretch of the trace.",
        lambda c: c[TraceView].zoom(2.0),
        needs="strokes",
        also="shrink",
    ),
    ActionRow(
        "zoom_all",
        "Show the whole piece",
        "Trace",
        (),
        "Show the whole trace.",
        lambda c: c[TraceView].zoom_all(),
        needs="strokes",
        also="fit whole all timeline",
    ),
)
