"""What a general model misheard put right by the words of the trade, rarely and carefully.

A wrong correction costs more than a missed one. Two ways: phrases known to be misheard, each with
the words around it, in a sentence that speaks of rowing; and words nobody says that sound nearly
like one of the trade or a name. An everyday word is never changed by its sound. What was changed
keeps what was heard, so that the coach sees it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from app.review.parts.spoken_words import SpokenWord
from app.speech.everyday import EVERYDAY
from app.speech.lexicon import CONFUSED, TRADE
from app.speech.sounds import distance, phones

# How far apart two words may sound. One of the trade must besides be long: short ones are near too
# many others ("sheet", "seat"), unless a word of the trade stands beside it ("the hib swing").
_NEAR_WORD: Final = 0.1
_NEAR_BESIDE: Final = 0.15
_NEAR_NAME: Final = 0.15
_FEWEST_PHONES: Final = 6
_FEWEST_BESIDE: Final = 3
_FEWEST_NAME: Final = 4
_LONGEST: Final = 4  # words that are looked at together
_TRADE_WORDS: Final = frozenset(word for phrase in TRADE for word in phrase.split())
_SINGLE: Final = tuple(phrase for phrase in TRADE if " " not in phrase)
# Words of the trade that tell something beside another word; "the" and "at" do not.
_TELLING: Final = _TRADE_WORDS - frozenset(
    ["at", "the", "in", "on", "into", "before", "up", "over", "down", "are", "with", "your", "away"]
)


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
    people = [(part, phones(part)) for name in names for part in re.findall(r"[^\W\d_]{3,}", name)]
    at = 0
    while at < len(known):
        fit = _best(known, at, people)
        if fit is None:
            at += 1
            continue
        made = _replaced(known[fit.first : fit.last], fit.said)
        known[fit.first : fit.last] = made
        at = fit.first + len(made)
    return tuple(known)


def _by_phrase(words: list[SpokenWord]) -> list[SpokenWord]:
    for pattern, said, needed in CONFUSED:
        from_at = 0
        while True:
            text, starts = _laid_out(words)
            match = pattern.search(text, from_at)
            if match is None or match.start() == match.end():
                break
            from_at = match.end()
            if needed.isdisjoint(_sentence(text, match.start(), match.end())):
                continue
            first = sum(start <= match.start() for start in starts) - 1
            last = sum(start < match.end() for start in starts)
            new = match.expand(said).strip()
            words[first:last] = _replaced(words[first:last], new)
            from_at = match.start() + len(new)
    return words


def _sentence(text: str, first: int, last: int) -> list[str]:
    """The words of the sentence in which a stretch lies."""
    before = re.split(r"[.!?]", text[:first])[-1]
    after = re.split(r"[.!?]", text[last:])[0]
    return re.findall(r"[a-z]+", (before + text[first:last] + after).lower())


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


def _best(words: Sequence[SpokenWord], at: int, people: Sequence[tuple[str, str]]) -> _Fit | None:
    """The phrase, word or name surely meant that begins at a word; None where it shall stand."""
    heard: list[str] = []
    best: _Fit | None = None
    for last in range(at + 1, min(at + _LONGEST, len(words)) + 1):
        if words[last - 1].heard:
            break
        heard.append(_bare(words[last - 1]))
        fit = _word(words[at], heard[0], people) if last == at + 1 else _phrase(heard)
        if fit is not None and (best is None or fit[1] < best.apart):
            best = _Fit(at, last, *fit)
        if words[last - 1].text.endswith((".", "?", "!", ",", ";")):
            break
    return best


def _word(
    word: SpokenWord, heard: str, people: Sequence[tuple[str, str]]
) -> tuple[str, float] | None:
    if _is_usual(heard):
        return None
    trade = [(said, phones(said)) for said in _SINGLE if len(phones(said)) >= _FEWEST_PHONES]
    named = [known for known in people if len(known[1]) >= _FEWEST_NAME]
    # The model writes a name with a capital.
    by_name = _nearest(phones(heard), named, _NEAR_NAME) if word.text[:1].isupper() else None
    return by_name or _nearest(phones(heard), trade, _NEAR_WORD)


def _phrase(heard: Sequence[str]) -> tuple[str, float] | None:
    """A phrase of as many words: each is the same, or is said by nobody and sounds nearly so."""
    near: list[tuple[float, str]] = []
    for phrase in TRADE:
        said = phrase.split()
        if len(said) != len(heard):
            continue
        other = [(a, b) for a, b in zip(heard, said, strict=True) if a != b]
        same = {a for a, b in zip(heard, said, strict=True) if a == b}
        if not other or _TELLING.isdisjoint(same) or any(_is_usual(a) for a, _ in other):
            continue
        if min(len(phones(b)) for _, b in other) < _FEWEST_BESIDE:
            continue
        apart = max(distance(phones(a), phones(b)) for a, b in other)
        if apart <= _NEAR_BESIDE:
            near.append((apart, phrase))
    return _only_one(near)


def _nearest(
    sound: str, known: Sequence[tuple[str, str]], limit: float
) -> tuple[str, float] | None:
    return _only_one(
        [
            (apart, said)
            for said, other in known
            if abs(len(sound) - len(other)) <= 2 and (apart := distance(sound, other)) <= limit
        ]
    )


def _only_one(near: list[tuple[float, str]]) -> tuple[str, float] | None:
    """The nearest; None where two are as near as each other: nobody knows which was meant."""
    near.sort()
    if not near or (len(near) > 1 and near[1][0] - near[0][0] < 1e-6 and near[0][1] != near[1][1]):
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
