"""Spoken words on a clock: after a correction, after trimming and cuts, and as sentences."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from typing import Final

from app.review.parts.notes import Voice
from app.review.parts.spoken_words import SpokenWord
from app.review.parts.walk_timing import Timing

# A caption is read while it is heard: two lines of some forty letters (common practice, no source).
_LONGEST_CAPTION: Final = 84
_PAUSE_S: Final = 0.8  # as long a breath ends a sentence the program wrote without a full stop
_LEAST_S: Final = 0.02  # of a word that was put between two others


@dataclass(frozen=True)
class SpokenSentence:
    """Words that are read together, and when they are said, seconds."""

    from_s: float
    to_s: float
    text: str


def corrected(words: Sequence[SpokenWord], text: str) -> tuple[SpokenWord, ...]:
    """The words of a corrected text: those that stayed keep their moments, others share the gap."""
    new = text.split()
    out: list[SpokenWord] = []
    for same, a, b, c, d in _blocks([_bare(w.text) for w in words], [_bare(w) for w in new]):
        if same:
            pairs = zip(words[a:b], new[c:d], strict=True)
            out.extend(replace(old, text=written) for old, written in pairs)
        elif c < d:
            from_s, to_s = _room(words, a, b)
            out.extend(_spread(new[c:d], from_s, to_s))
    return tuple(out)


def _blocks(old: list[str], new: list[str]) -> list[tuple[bool, int, int, int, int]]:
    """Which words stayed and which changed; one that stayed between changes counts as changed.

    Such a word ("to look at" put right to "at the catch") stayed by chance.
    """
    codes = SequenceMatcher(None, old, new, False).get_opcodes()
    blocks: list[tuple[bool, int, int, int, int]] = []
    for i, (kind, a, b, c, d) in enumerate(codes):
        same = kind == "equal" and not (b - a == 1 and 0 < i < len(codes) - 1)
        if blocks and not same and not blocks[-1][0]:
            _, a, _, c, _ = blocks.pop()
        blocks.append((same, a, b, c, d))
    return blocks


def _bare(word: str) -> str:
    return re.sub(r"\W", "", word).casefold() or word


def _room(words: Sequence[SpokenWord], a: int, b: int) -> tuple[float, float]:
    """Where new words may stand: in place of those they replace, else between their neighbours."""
    if a < b:
        next_s = words[b].from_s if b < len(words) else words[b - 1].to_s
        return words[a].from_s, max(min(words[b - 1].to_s, next_s), words[a].from_s)
    from_s = words[a - 1].to_s if a > 0 else 0.0
    if a == len(words):
        return from_s, from_s
    # Words may touch or overlap a little; order is what must hold.
    return min(from_s, words[a].from_s), words[a].from_s


def _spread(texts: Sequence[str], from_s: float, to_s: float) -> Iterable[SpokenWord]:
    """Give each of some words its share of a time, by its letters."""
    whole = sum(len(text) + 1 for text in texts)
    at = 0
    for text in texts:
        first = from_s + (to_s - from_s) * at / whole
        at += len(text) + 1
        yield SpokenWord(text, first, max(from_s + (to_s - from_s) * at / whole, first))


def heard_words(words: Iterable[SpokenWord], voice: Voice) -> tuple[SpokenWord, ...]:
    """The words that are heard of a trimmed voice, on the clock of what is heard."""
    timing = _trim(voice)
    return _moved(words, [(voice.trim_start_s, voice.trim_end_s)], timing)


def _trim(voice: Voice) -> Callable[[float], float]:
    return lambda at_s: min(max(at_s - voice.trim_start_s, 0.0), voice.heard_s)


def left_words(words: Iterable[SpokenWord], timing: Timing) -> tuple[SpokenWord, ...]:
    """The words that are left of a walkthrough after its cuts, on the clock of what is left."""
    return _moved(words, timing.spans, timing.to_output)


def _moved(
    words: Iterable[SpokenWord],
    spans: Sequence[tuple[float, float]],
    moment: Callable[[float], float],
) -> tuple[SpokenWord, ...]:
    def stays(word: SpokenWord) -> bool:
        middle = (word.from_s + word.to_s) / 2
        return any(first <= middle <= last for first, last in spans)

    return tuple(
        replace(w, from_s=moment(w.from_s), to_s=moment(w.to_s)) for w in words if stays(w)
    )


def sentences(words: Sequence[SpokenWord]) -> tuple[SpokenSentence, ...]:
    """The words as sentences short enough for a caption, each at its time."""
    out: list[SpokenSentence] = []
    held: list[SpokenWord] = []
    for word in words:
        if held and _ends_before(held, word):
            out.append(_joined(held))
            held = []
        held.append(word)
    if held:
        out.append(_joined(held))
    return tuple(out)


def _ends_before(held: Sequence[SpokenWord], word: SpokenWord) -> bool:
    length = sum(len(w.text) + 1 for w in held) + len(word.text)
    last = held[-1]
    return (
        last.text.endswith((".", "?", "!", "…"))
        or word.from_s - last.to_s >= _PAUSE_S
        or length > _LONGEST_CAPTION
        or (last.text.endswith((",", ";", ":")) and length > _LONGEST_CAPTION * 0.7)
    )


def _joined(words: Sequence[SpokenWord]) -> SpokenSentence:
    to_s = max(words[-1].to_s, words[0].from_s + _LEAST_S)
    return SpokenSentence(words[0].from_s, to_s, " ".join(word.text for word in words))
