"""The coach's voice in the bundle: one sound file a note that was spoken, all equally loud."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.bundle.notes.note_cards import NoteCard, VoiceFile
from app.bundle.wording.spoken import spoken_vtt, voice_words
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.file.store import read_asset
from app.review.parts.state import ReviewState
from app.review.values.errors import ReviewError
from app.review.voice import heard, samples_of

# Cutting into a sound clicks; this short a rise and fall does not take from a word.
_FADE_S = 0.005


def with_voices(
    cards: Sequence[NoteCard],
    state: ReviewState,
    review_path: Path,
    folder: Path,
    words: Words,
) -> tuple[tuple[NoteCard, ...], tuple[str, ...]]:
    """Write the voices into the folder; return the cards that name them, and remarks.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    if all(card.note.voice is None for card in cards):
        return tuple(cards), ()
    (folder / "voice").mkdir()
    done, remarks = [], []
    for card in cards:
        try:
            done.append(_with_voice(card, state, review_path, folder, words))
        except (ReviewError, MediaError):
            done.append(card)
            remarks.append(words["voice_failed"].format(number=card.number))
    if not any((folder / "voice").iterdir()):
        (folder / "voice").rmdir()
    return tuple(done), tuple(remarks)


def _with_voice(
    card: NoteCard, state: ReviewState, review_path: Path, folder: Path, words: Words
) -> NoteCard:
    voice = card.note.voice
    if voice is None:
        return card
    from app.media.loudness import evened
    from app.media.voice_file import write_m4a

    samples = heard(samples_of(read_asset(review_path, voice.id)), voice) / 32768.0
    name = f"voice/note-{card.number:02d}.m4a"
    loud = evened(_faded(samples, voice.sample_hz), voice.sample_hz)
    write_m4a(loud, voice.sample_hz, folder / name)
    spoken, track = voice_words(state, voice), ""
    if spoken is not None:
        track = f"voice/note-{card.number:02d}.vtt"
        (folder / track).write_text(spoken_vtt(spoken, words), "utf-8", newline="")
    file = VoiceFile(name, len(samples) / voice.sample_hz, spoken, track)
    return replace(card, voice=file)


def _faded(samples: NDArray[np.float64], sample_hz: int) -> NDArray[np.float64]:
    count = min(round(_FADE_S * sample_hz), len(samples) // 2)
    ramp = np.linspace(0.0, 1.0, count, endpoint=False)
    faded = samples.astype(np.float64)
    faded[:count] *= ramp
    faded[len(faded) - count :] *= ramp[::-1]
    return faded
