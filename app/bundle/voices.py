"""The coach's voice in the bundle: one sound file a note that was spoken, all equally loud."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.bundle.notes.note_cards import NoteCard, VoiceFile
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.file.store import read_asset
from app.review.values.errors import ReviewError
from app.review.voice import heard, samples_of

# Cutting into a sound clicks; this short a rise and fall does not take from a word.
_FADE_S = 0.005


def with_voices(
    cards: Sequence[NoteCard], review_path: Path, folder: Path, words: Words
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
            done.append(_with_voice(card, review_path, folder))
        except (ReviewError, MediaError):
            done.append(card)
            remarks.append(words["voice_failed"].format(number=card.number))
    if not any((folder / "voice").iterdir()):
        (folder / "voice").rmdir()
    return tuple(done), tuple(remarks)


def _with_voice(card: NoteCard, review_path: Path, folder: Path) -> NoteCard:
    voice = card.note.voice
    if voice is None:
        return card
    from app.media.loudness import evened
    from app.media.voice_file import write_m4a

    samples = heard(samples_of(read_asset(review_path, voice.id)), voice) / 32768.0
    name = f"voice/note-{card.number:02d}.m4a"
    loud = evened(_faded(samples, voice.sample_hz), voice.sample_hz)
    write_m4a(loud, voice.sample_hz, folder / name)
    return replace(card, voice=VoiceFile(name, len(samples) / voice.sample_hz))


def _faded(samples: NDArray[np.float64], sample_hz: int) -> NDArray[np.float64]:
    count = min(round(_FADE_S * sample_hz), len(samples) // 2)
    ramp = np.linspace(0.0, 1.0, count, endpoint=False)
    faded = samples.astype(np.float64)
    faded[:count] *= ramp
    faded[len(faded) - count :] *= ramp[::-1]
    return faded
