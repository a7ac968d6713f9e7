"""How alike two English words sound: rough phones from letters, and a weighted edit distance.

Rough on purpose: it only has to say that "couch" is near "catch" and "chair" is not.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

# In order; what comes first wins. Upper case stands for a sound written with several letters.
_RULES: Final = (
    ("tch", "C"), ("sch", "SK"), ("ch", "C"), ("sh", "S"), ("tion", "Sn"), ("cious", "Ss"),
    ("th", "T"), ("ph", "f"), ("ck", "k"), ("qu", "kw"), ("wh", "w"), ("ng", "N"), ("igh", "Y"),
    ("kn", "n"), ("wr", "r"), ("mb", "m"), ("dge", "J"), ("ee", "i"), ("ea", "i"), ("ie", "i"),
    ("oo", "u"), ("ou", "o"), ("ow", "o"), ("oa", "o"), ("ai", "e"), ("ay", "e"), ("ei", "e"),
    ("ey", "e"), ("au", "o"), ("aw", "o"), ("x", "ks"),
)  # fmt: skip
_VOWELS: Final = "aeiouyY"
_ALIKE: Final = tuple(
    frozenset(pair)
    for pair in (
        "bp", "dt", "gk", "vf", "zs", "mn", "CS", "CJ", "lr", "lw", "rw", "nN", "Tf", "Td", "Tt",
        "sT", "sS", "zS", "Ct", "jJ", "Cs",
    )
)  # fmt: skip


@lru_cache(maxsize=4096)
def phones(text: str) -> str:
    """Rough phones of a word or a phrase; spaces count nothing."""
    return "".join(_of_word(word) for word in re.findall(r"[a-z]+", text.lower()))


def _of_word(word: str) -> str:
    word = re.sub(r"(?<=[^aeiouy])e$", "", word) if len(word) > 3 else word
    word = re.sub(r"(?<=[bcdfgklmnprstvz])es$", "s", word) if len(word) > 4 else word
    out, at = [], 0
    while at < len(word):
        for letters, sound in _RULES:
            if word.startswith(letters, at):
                out.append(sound)
                at += len(letters)
                break
        else:
            out.append(_single(word, at))
            at += 1
    return re.sub(r"(.)\1+", r"\1", "".join(out))


def _single(word: str, at: int) -> str:
    letter, after = word[at], word[at + 1 : at + 2]
    if letter == "c":
        return "s" if after and after in "eiy" else "k"
    if letter == "g" and after and after in "ei" and at > 0:
        return "J"
    if letter == "q":
        return "k"
    if letter == "y" and at == 0:
        return "j"
    return letter


def _swap(a: str, b: str) -> float:
    if a == b:
        return 0.0
    if a in _VOWELS and b in _VOWELS:
        return 0.35
    return 0.45 if frozenset((a, b)) in _ALIKE else 1.0


def _drop(sound: str) -> float:
    return 0.5 if sound in _VOWELS or sound in ("h", "r") else 0.9


@lru_cache(maxsize=65536)
def distance(one: str, other: str) -> float:
    """How far two strings of phones are apart: 0 for the same, 1 for nothing in common."""
    row = [0.0]
    for sound in other:
        row.append(row[-1] + _drop(sound))
    for a in one:
        new = [row[0] + _drop(a)]
        for j, b in enumerate(other):
            new.append(min(row[j] + _swap(a, b), row[j + 1] + _drop(a), new[j] + _drop(b)))
        row = new
    return row[-1] / max(len(one), len(other), 1)
