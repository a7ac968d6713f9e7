"""The words of a note as the page sets them: what was seen, then cue, drill and caution apart."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from app.bundle.wording.languages import LANGUAGES
from app.review.finding_notes import CAUTION, CUE, DRILL

Kind = Literal["title", "plain", "cue", "drill", "care"]
_KINDS: tuple[Kind, ...] = ("cue", "drill", "care")
# A coach who writes in another language begins such a line in its words.
_STARTS: tuple[tuple[str, Kind], ...] = (
    (CUE, "cue"),
    (DRILL, "drill"),
    (CAUTION, "care"),
    *((f"{words[kind]}:", kind) for words in LANGUAGES.values() for kind in _KINDS),
)
_MARKS = {start.casefold(): kind for start, kind in _STARTS}
# At the start of a line, or after a stop, a comma or a dash: "the hands rise, cue: hang on".
# Between other words it is one of them: "I have a cue: hang on."
_PAUSES = ",–—-"
_MARK = re.compile(
    r"(?:^|(?<=[.!?…;)"
    + _PAUSES
    + r"])\s)\s*("
    + "|".join(re.escape(start) for start, _ in _STARTS)
    + ")",
    re.IGNORECASE,
)
_WRITTEN = {"cue": CUE, "drill": DRILL, "care": CAUTION}
_LONGEST_TITLE = 70


@dataclass(frozen=True)
class NotePart:
    """A stretch of a note's words and how it is set."""

    kind: Kind
    text: str


def note_parts(text: str) -> tuple[NotePart, ...]:
    """Split a note's words.

    What follows one of the three marks, in any language of the bundle, stands apart without its
    mark, to the end of its line; a mark begins a line or follows a stop, a comma or a dash. With
    such words in the note, a short first line is its title.
    """
    parts: list[NotePart] = []
    plain: list[str] = []

    def close() -> None:
        words = "\n".join(plain).strip()
        if words:
            parts.append(NotePart("plain", words))
        plain.clear()

    for line in text.split("\n"):
        for part in _of_line(line):
            if part.kind == "plain":
                plain.append(part.text)
            else:
                close()
                parts.append(part)
    close()
    return _titled(parts)


def ways_of(text: str) -> dict[str, str]:
    """Give the first cue and the first drill of a note by "cue" and "drill", "" for none."""
    parts = note_parts(text)
    return {
        kind: next((part.text for part in parts if part.kind == kind), "")
        for kind in ("cue", "drill")
    }


def with_ways(text: str, ways: Mapping[str, str]) -> str:
    """Put another cue and drill into the words of a note; all other words stay.

    Parameters
    ----------
    ways : by "cue" and "drill", in the place of the first of each; an empty one takes all away
    """
    left = {kind: " ".join(said.split()) for kind, said in ways.items()}
    parts = list(note_parts(text))
    lines: list[str] = []
    for part in parts:
        said = left.pop(part.kind, part.text)
        if said and ways.get(part.kind, said):
            lines.append(f"{_WRITTEN.get(part.kind, '')} {said}".strip())
    lines += [f"{_WRITTEN[kind]} {said}" for kind, said in left.items() if said]
    return "\n".join(lines)


def _of_line(line: str) -> Iterator[NotePart]:
    """A line as what stands before its first mark, and what follows each."""
    # A mark with nothing behind it is left as it was typed.
    found = [m for m in _MARK.finditer(line) if line[m.end() :].strip()]
    before = line[: found[0].start()] if found else line
    if before.strip() or not found:
        yield NotePart("plain", _ended(before) if found else line)
    ends = [*(mark.start() for mark in found[1:]), len(line)]
    for mark, end in zip(found, ends, strict=False):
        words = line[mark.end() : end]
        last = mark is found[-1]
        kind = _MARKS[mark.group(1).casefold()]
        yield NotePart(kind, words.strip() if last else _ended(words).strip())


def _ended(words: str) -> str:
    """Words before a mark, without the comma or dash that led to it."""
    words = words.rstrip()
    return words[:-1].rstrip() if words.endswith(tuple(_PAUSES)) else words


def _titled(parts: list[NotePart]) -> tuple[NotePart, ...]:
    if len(parts) < 2 or parts[0].kind != "plain":
        return tuple(parts)
    title, _, rest = parts[0].text.partition("\n")
    if len(title) > _LONGEST_TITLE:
        return tuple(parts)
    between = (NotePart("plain", rest.strip()),) if rest.strip() else ()
    return (NotePart("title", title), *between, *parts[1:])
