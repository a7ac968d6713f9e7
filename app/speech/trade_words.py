"""What a general model misheard put right by the words of the trade, carefully.

Two ways, both of which leave alone what anybody may have said: phrases known to be misheard, each
with the words around it that leave no doubt; and phrases of the trade that sound nearly like what
was heard, where what was heard holds a word that nobody says beside a boat. What was changed keeps
what was heard, so that the coach sees it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from app.review.parts.spoken_words import SpokenWord
from app.speech.lexicon import CONFUSED, EVERYDAY, TRADE
from app.speech.sounds import distance, phones

# How far apart two phrases may sound: more where they are long, and every word heard is foreign. A
# single word is near too many others ("such", "seat"): it must be nearly the same, and not short.
_NEAR: Final = 0.2
_NEAR_FOREIGN: Final = 0.27
_NEAR_WORD: Final = 0.15
_NEAR_NAME: Final = 0.2
_FEWEST_PHONES: Final = 4
_LONGEST: Final = 4  # words that are looked at together
_BETTER_ALONE: Final = 0.02  # a longer phrase must be so much better than what lies in it
_TRADE_WORDS: Final = frozenset(word for phrase in TRADE for word in phrase.split())


@dataclass(frozen=True)
class _Fit:
    first: int
    last: int
    said: str
    apart: float


def put_right(words: Sequence[SpokenWord], names: Sequence[str] = ()) -> tuple[SpokenWord, ...]:
    """The words with what was surely misheard put right.

    Parameters
    ----------
    names : of people who may be spoken of; each of their parts is known
    """
    known = _by_phrase(list(words))
    sounds = [(phrase, phones(phrase)) for phrase in TRADE]
    # By one word, and by several: "the knees" shall not be heard in one that sounds like it.
    phrases = {
        1: [known for known in sounds if " " not in known[0]],
        2: [known for known in sounds if " " in known[0]],
    }
    people = [(part, phones(part)) for name in names for part in re.findall(r"[^\W\d_]{3,}", name)]
    at = 0
    while at < len(known):
        fit = _best(known, at, phrases, people)
        if fit is None:
            at += 1
            continue
        made = _replaced(known[fit.first : fit.last], fit.said)
        known[fit.first : fit.last] = made
        at = fit.first + len(made)
    return tuple(known)


def _by_phrase(words: list[SpokenWord]) -> list[SpokenWord]:
    for pattern, said in CONFUSED:
        from_at = 0
        while True:
            text, starts = _laid_out(words)
            match = pattern.search(text, from_at)
            if match is None or match.start() == match.end():
                break
            first = sum(start <= match.start() for start in starts) - 1
            last = sum(start < match.end() for start in starts)
            new = match.expand(said).strip()
            words[first:last] = _replaced(words[first:last], new)
            from_at = match.start() + len(new)
    return words


def _laid_out(words: Sequence[SpokenWord]) -> tuple[str, list[int]]:
    starts, at = [], 0
    for word in words:
        starts.append(at)
        at += len(word.text) + 1
    return " ".join(word.text for word in words), starts


def _bare(word: SpokenWord) -> str:
    return re.sub(r"[^\w'-]", "", word.text).lower()


def _is_usual(word: str) -> bool:
    """Whether anybody may have said it: everyday words, those of the trade, numbers, joined."""
    if not word or any(c.isdigit() for c in word):
        return True
    parts = re.split(r"[-']", word)
    if len(parts) > 1:
        return all(
            _is_usual(part) or part in ("s", "t", "re", "ve", "ll", "m", "d") for part in parts
        )
    stems = {
        word,
        *(word[: -len(end)] for end in ("s", "es", "ed", "ing", "ly", "er") if word.endswith(end)),
    }
    stems |= {stem + "e" for stem in stems}
    return not (EVERYDAY | _TRADE_WORDS).isdisjoint(stems)


def _best(
    words: Sequence[SpokenWord],
    at: int,
    phrases: Mapping[int, Sequence[tuple[str, str]]],
    people: Sequence[tuple[str, str]],
) -> _Fit | None:
    """The nearest phrase that begins at a word; None where what was heard shall stand."""
    best: _Fit | None = None
    heard: list[str] = []
    for last in range(at + 1, min(at + _LONGEST, len(words)) + 1):
        heard.append(_bare(words[last - 1]))
        if words[last - 1].heard or (heard[-1] and heard[-1][0].isdigit()):
            break
        foreign = [not _is_usual(word) for word in heard]
        if any(foreign):
            sound = phones(" ".join(heard).replace("-", " "))
            if len(heard) == 1:
                fit = _nearest(sound, phrases[1], _NEAR_WORD) or _nearest(sound, people, _NEAR_NAME)
            else:
                limit = _NEAR_FOREIGN if all(foreign) else _NEAR
                fit = _nearest(sound, _told_apart(heard, phrases[2]), limit)
            if fit is not None and (best is None or fit[1] < best.apart - _BETTER_ALONE):
                best = _Fit(at, last, *fit)
        if words[last - 1].text.endswith((".", "?", "!", ",", ";")):
            break
    return best


def _told_apart(
    heard: Sequence[str], phrases: Sequence[tuple[str, str]]
) -> Sequence[tuple[str, str]]:
    """Phrases that differ in more than one word, or in one that sounds nearly the same.

    "in the drift" is near to "in the drive" by the two words they share, which say nothing.
    """

    def may_be_meant(phrase: str) -> bool:
        said = phrase.split()
        other = [(a, b) for a, b in zip(heard, said, strict=False) if a != b]
        if len(said) != len(heard) or len(other) != 1:
            return True
        return distance(phones(other[0][0]), phones(other[0][1])) <= _NEAR_WORD

    return [known for known in phrases if may_be_meant(known[0])]


def _nearest(
    sound: str, known: Sequence[tuple[str, str]], limit: float
) -> tuple[str, float] | None:
    near = [
        (apart, said)
        for said, other in known
        if min(len(sound), len(other)) >= _FEWEST_PHONES
        and abs(len(sound) - len(other)) <= 2
        and (apart := distance(sound, other)) <= limit
    ]
    if not near:
        return None
    near.sort()
    # Two phrases as near as each other: nobody knows which was meant.
    if len(near) > 1 and near[1][0] - near[0][0] < 1e-6 and near[0][1] != near[1][1]:
        return None
    return near[0][1], near[0][0]


def _replaced(old: Sequence[SpokenWord], said: str) -> list[SpokenWord]:
    """New words for old ones, within their time; the mark at the end and a capital stay."""
    heard = " ".join(word.text for word in old)
    texts = said.split()
    if texts == [_bare(word) for word in old]:
        return list(old)
    end = re.search(r"[.,;:!?…]+$", heard)
    if end is not None:
        texts[-1] += end.group()
    if old[0].text[:1].isupper():
        texts[0] = texts[0][:1].upper() + texts[0][1:]
    if len(texts) == len(old):
        pairs = zip(old, texts, strict=True)
        return [
            w if w.text == text else SpokenWord(text, w.from_s, w.to_s, w.text) for w, text in pairs
        ]
    from_s, to_s = old[0].from_s, max(old[-1].to_s, old[0].from_s)
    step = (to_s - from_s) / len(texts)
    return [
        SpokenWord(text, from_s + i * step, from_s + (i + 1) * step, heard)
        for i, text in enumerate(texts)
    ]
