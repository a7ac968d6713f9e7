"""The actions of speaking and hearing."""

from __future__ import annotations

from PySide6.QtWidgets import QMainWindow

from app.window.actions.action_row import ActionRow
from app.window.features.notes.voice import Voice

VOICE: tuple[ActionRow, ...] = (
    ActionRow(
        "speak",
        "Speak a note",
        "Voice",
        ("O",),
        "Hold and speak, or press, speak and press again; the voice is pinned to this moment.",
        lambda c: c[Voice].speaking.toggle(),
        needs="review",
        in_bar="Speak",
        also="voice record audio comment talk microphone say",
        is_on=lambda c: c[Voice].speaking.is_on,
    ),
    ActionRow(
        "throw_voice_away",
        "Discard the recording",
        "Voice",
        (),
        "End the recording and delete it.",
        lambda c: c[Voice].speaking.throw_away(),
        needs="review",
    ),
    ActionRow(
        "play_voice",
        "Play the voice",
        "Voice",
        ("Shift+O",),
        "Hear the voice of the chosen note at its moment; again to stop.",
        lambda c: c[Voice].player.toggle(),
        needs="review",
        also="listen",
    ),
    ActionRow(
        "record_anew",
        "Record the voice again",
        "Voice",
        (),
        "Record the voice of the chosen note again, or give it one; press again to end.",
        lambda c: c[Voice].speaking.record_anew(),
        needs="review",
    ),
    ActionRow(
        "trim_start",
        "Trim the start here",
        "Voice",
        (),
        "While the voice plays: cut off what was heard until now.",
        lambda c: c[Voice].player.trim_start(),
        needs="review",
        also="cut shorten crop clip",
    ),
    ActionRow(
        "trim_end",
        "Trim the end here",
        "Voice",
        (),
        "While the voice plays: cut off what comes from now on.",
        lambda c: c[Voice].player.trim_end(),
        needs="review",
        also="cut shorten crop",
    ),
    ActionRow(
        "untrim",
        "Undo the trimming",
        "Voice",
        (),
        "Hear the whole recording of the chosen note again.",
        lambda c: c[Voice].player.untrim(),
        needs="review",
    ),
    ActionRow(
        "remove_voice",
        "Remove the voice",
        "Voice",
        (),
        "Take the voice from the chosen note; its words stay.",
        lambda c: c[Voice].player.remove(),
        needs="review",
    ),
    ActionRow(
        "write_voices_down",
        "Write voices down",
        "Settings",
        (),
        "Write what you speak down by itself, offline, as a draft you read; English only.",
        lambda c: c[Voice].writing.turn(),
        also="transcribe transcript words captions subtitles text",
        is_on=lambda c: c[Voice].writing.is_on,
    ),
    ActionRow(
        "microphone",
        "Microphone …",
        "Settings",
        (),
        "Choose the microphone and check its level.",
        lambda c: c[Voice].choose_microphone(c[QMainWindow]),
        also="audio input record settings mic volume",
    ),
)
