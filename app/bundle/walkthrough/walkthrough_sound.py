"""The voice of a walkthrough after its cuts, and its captions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.bundle.wording.spoken import spoken_vtt, walk_words
from app.bundle.wording.words import Words
from app.review.parts.state import ReviewState
from app.review.parts.walk_timing import Timing
from app.review.parts.walkthroughs import Walkthrough
from app.review.voice import samples_of

# Cutting into a sound clicks; this short a rise and fall does not take from a word.
_FADE_S = 0.005


def cut_samples(wav: bytes, walk: Walkthrough, timing: Timing) -> NDArray[np.float64]:
    """(N,) samples in -1..1 of what is left of the recording, N = length times rate, rounded.

    Raises
    ------
    ReviewError
        The sound cannot be read.
    """
    samples = samples_of(wav) / 32768.0
    hz = walk.sample_hz
    out = np.zeros(round(timing.length_s * hz))
    start_s = 0.0
    for first_s, last_s in timing.spans:
        at = round(start_s * hz)  # each piece by itself, so that rounding does not add up
        piece = samples[round(first_s * hz) : round(last_s * hz)][: len(out) - at].copy()
        _fade(piece, hz)
        out[at : at + len(piece)] = piece
        start_s += last_s - first_s
    return out


def evened_sound(wav: bytes, walk: Walkthrough, timing: Timing) -> NDArray[np.float64]:
    """The same, as loud as a voice note; silence stays silence."""
    from app.media.loudness import evened

    return evened(cut_samples(wav, walk, timing), walk.sample_hz)


def walk_captions(walk: Walkthrough, state: ReviewState, words: Words) -> str:
    """The captions as WebVTT on the clock of what is left, "" where there are none."""
    view = walk_words(state, walk)
    return spoken_vtt(view, words) if view is not None else ""


def _fade(piece: NDArray[np.float64], hz: int) -> None:
    count = min(round(_FADE_S * hz), len(piece) // 2)
    ramp = np.linspace(0.0, 1.0, count, endpoint=False)
    piece[:count] *= ramp
    piece[len(piece) - count :] *= ramp[::-1]
