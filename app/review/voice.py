"""A note's voice: its samples as a WAV file, its trimming, and the changes a coach makes to it."""

from __future__ import annotations

import io
import uuid
import wave
from dataclasses import dataclass, replace
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from app.review.parts.change import Change
from app.review.parts.notes import SetVoice, Voice, find_note
from app.review.parts.state import ReviewState
from app.review.values.errors import ReviewError

RATE_HZ = 48_000
BYTES = 2
# Less than this is no word, and a trimmed voice keeps as much.
SHORTEST_S = 0.2


def new_id() -> str:
    """Return an id for a sound that no other has."""
    return uuid.uuid4().hex


def voice_of(sound_id: str, pcm: bytes, sample_hz: int = RATE_HZ) -> Voice:
    """Describe a whole recording of 16-bit samples, one channel."""
    length_s = len(pcm) // BYTES / sample_hz
    return Voice(sound_id, length_s, sample_hz, 0.0, length_s)


def to_wav(pcm: bytes, sample_hz: int = RATE_HZ) -> bytes:
    """Give 16-bit little-endian samples of one channel the header of a WAV file."""
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(BYTES)
        file.setframerate(sample_hz)
        file.writeframes(pcm[: len(pcm) // BYTES * BYTES])
    return out.getvalue()


def samples_of(wav: bytes) -> NDArray[np.int16]:
    """Return a WAV file's samples, (N,) int16.

    Raises
    ------
    ReviewError
        It is no WAV file of one channel with 16 bits.
    """
    try:
        with wave.open(io.BytesIO(wav)) as file:
            if (file.getnchannels(), file.getsampwidth()) != (1, BYTES):
                raise ReviewError("The sound of a voice note is not one channel of 16 bits.")
            return np.frombuffer(file.readframes(file.getnframes()), "<i2").astype(np.int16)
    except (wave.Error, EOFError) as error:
        raise ReviewError(f"The sound of a voice note cannot be read ({error}).") from error


def heard(samples: NDArray[np.int16], voice: Voice) -> NDArray[np.int16]:
    """Return the part of the samples that is heard after trimming."""
    first = round(voice.trim_start_s * voice.sample_hz)
    last = round(voice.trim_end_s * voice.sample_hz)
    return samples[max(first, 0) : max(last, 0)]


def trimmed(voice: Voice, start_s: float | None = None, end_s: float | None = None) -> Voice:
    """Return the voice with another start or end, seconds into the recording.

    The end that moves stops at the recording's own ends and `SHORTEST_S` before the other one, so
    that something is always heard; nothing is lost, and the ends can move out again.
    """
    least = min(SHORTEST_S, voice.length_s)
    start, end = voice.trim_start_s, voice.trim_end_s
    if start_s is not None:
        start = min(max(start_s, 0.0), max(end - least, 0.0))
    if end_s is not None:
        end = min(max(end_s, start + least), voice.length_s)
    if end - start <= 0.0:
        return voice
    return replace(voice, trim_start_s=start, trim_end_s=end)


@dataclass(frozen=True)
class TrimVoice(Change):
    """Move the ends of what is heard; None stays. One `gesture` is one undo step."""

    note_id: str
    start_s: float | None = None
    end_s: float | None = None
    gesture: str = ""
    label: ClassVar[str] = "trim voice"

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with the voice trimmed; raises ReviewError where there is none."""
        note = find_note(state, self.note_id)
        if note.voice is None:
            raise ReviewError("That note has no voice; nothing was changed.")
        voice = trimmed(note.voice, self.start_s, self.end_s)
        return SetVoice(self.note_id, voice).apply(state)

    def merges_with(self, previous: Change) -> bool:
        """Merge the steps of one drag."""
        return self.goes_on_from(previous, "note_id")
