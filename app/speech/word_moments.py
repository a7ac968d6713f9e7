"""When each word of a line is said: the model times lines, and the words share the speech in one.

A word gets as much of the line's speech as it has of its syllables; silence within the line counts
nothing. Common practice, no source; `docs/voice-words.md` says how far off that is.
"""

from __future__ import annotations

import re
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.review.parts.spoken_words import SpokenWord
from app.speech.engine import RATE_HZ, HeardLine

_FRAME: Final = RATE_HZ // 100
_QUIET_SHARE: Final = 0.08  # of the line's loud level: below it nobody speaks


def words_of(line: HeardLine, sound: NDArray[np.float64]) -> list[SpokenWord]:
    """The words of a line with their moments, seconds into the recording."""
    texts = line.text.split()
    if not texts:
        return []
    first, last = round(line.from_s * RATE_HZ), round(line.to_s * RATE_HZ)
    edges_s = _spoken_edges(sound[first:last], [_weight(text) for text in texts])
    length_s = line.to_s - line.from_s
    if edges_s is None:
        weights = np.cumsum([0.0, *(_weight(text) for text in texts)])
        edges_s = weights / weights[-1] * length_s
    edges_s = line.from_s + np.clip(edges_s, 0.0, length_s)
    return [
        SpokenWord(text, round(float(edges_s[i]), 2), round(float(edges_s[i + 1]), 2))
        for i, text in enumerate(texts)
    ]


def _weight(word: str) -> float:
    """How long a word takes beside others: its syllables, and a little for each letter."""
    letters = re.sub(r"\W", "", word.lower())
    if letters.isdigit():
        return 2.0 * len(letters)
    syllables = max(1, len(re.findall(r"[aeiouy]+", re.sub(r"e$", "", letters))))
    return syllables + 0.12 * len(letters)


def _spoken_edges(sound: NDArray[np.float64], weights: list[float]) -> NDArray[np.float64] | None:
    """Seconds into the line at which words begin and end; None for a line too short to tell."""
    frames = len(sound) // _FRAME
    if frames < len(weights):
        return None
    level = np.sqrt(np.mean(sound[: frames * _FRAME].reshape(frames, _FRAME) ** 2, axis=1))
    loud = float(np.percentile(level, 90))
    voiced = (level > _QUIET_SHARE * loud) & (loud > 0.0)
    if not voiced.any():
        return None
    # A word edge lies where its share of all that is voiced was heard.
    heard = np.concatenate([[0.0], np.cumsum(voiced)])
    wanted = np.concatenate([[0.0], np.cumsum(weights)]) / sum(weights) * heard[-1]
    edges = np.searchsorted(heard, wanted, "left").astype(np.float64)
    edges[0] = float(np.argmax(voiced))
    return np.asarray(np.maximum.accumulate(edges) * _FRAME / RATE_HZ)
