"""The words of a note as the page sets them: what was seen, then cue, drill and caution apart."""

from __future__ import annotations

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
_LONGEST_TITLE = 70


@dataclass(frozen=True)
class NotePart:
    """A stretch of a note's words and how it is set."""

    kind: Kind
    text: str


def note_parts(text: str) -> tuple[NotePart, ...]:
    """Split a note's words.

    A line that begins with one of the three marks, in any language of the bundle, stands apart,
    without its mark. With such a line in the note, a short first line is its title.
    """
    parts: list[NotePart] = []
    plain: list[str] = []

    def close() -> None:
        words = "\n".join(plain).strip()
        if words:
            parts.append(NotePart("plain", words))
        plain.clear()

    for line in text.split("\n"):
        marked = _marked(line)
        if marked is None:
            plain.append(line)
            continue
        close()
        parts.append(marked)
    close()
    return _titled(parts)


def _marked(line: str) -> NotePart | None:
    bare = line.strip()
    for start, kind in _STARTS:
        if bare.casefold().startswith(start.casefold()) and bare[len(start) :].strip():
            return NotePart(kind, bare[len(start) :].strip())
    return None


def _titled(parts: list[NotePart]) -> tuple[NotePart, ...]:
    if len(parts) < 2 or parts[0].kind != "plain":
        return tuple(parts)
    title, _, rest = parts[0].text.partition("\n")
    if len(title) > _LONGEST_TITLE:
        return tuple(parts)
    between = (NotePart("plain", rest.strip()),) if rest.strip() else ()
    return (NotePart("title", title), *between, *parts[1:])
