"""What of the page goes on paper: two pages of A4, the most important first.

A browser breaks pages, and cannot be asked here how high its text will be. So the sheet is laid out
roughly beforehand, rather too high than too low; what does not fit is named on it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.bundle.page.page_notes import NoteView
from app.bundle.page.page_texts import PageTexts
from app.bundle.page.session import Session
from app.bundle.wording.note_text import NotePart

_PAGES = 2
_PAGE_MM = 275.0  # A4 less its margins
# Heights as Chromium prints them, with a little to spare.
_HEAD_MM, _FOOT_MM, _HEADING_MM, _GAP_MM = 24.0, 12.0, 8.5, 5.0
_CURVE_MM, _CAUTION_MM, _NEXT_MM = 92.0, 41.0, 38.0
_LINE_MM = 4.4  # of 9 points
# Letters in a line: beside a note's pictures, in half of the width, in all of it.
_FULL, _HALF, _WIDE = 52, 33, 110
_FULL_PICTURE_MM, _HALF_PICTURE_MM = 27.0, 18.0
# Of a title and a cue, against the rest.
_FULL_LARGER = {"title": 1.1, "cue": 1.5}
_HALF_LARGER = {"title": 1.05, "cue": 1.15}


@dataclass(frozen=True)
class Sheet:
    """Which notes are on paper.

    Attributes
    ----------
    first : numbers of those to work on, given the whole width
    shown : numbers of all that are printed, those included
    left_out : numbers of those that are on the page alone
    """

    first: frozenset[int]
    shown: frozenset[int]
    left_out: tuple[int, ...]


def sheet_of(
    notes: Sequence[NoteView],
    work: Sequence[NoteView],
    texts: PageTexts,
    has_curve: bool,
    has_caution: bool,
    session: Session,
) -> Sheet:
    """Choose what is printed: what to work on, then notes with a cue, with words, and the others.

    Parameters
    ----------
    work : the notes the page begins with
    session : what follows them on the first page
    """
    first = frozenset(n.card.number for n in work)
    others = [n for n in notes if n.card.number not in first]
    top_mm = _HEAD_MM + _HEADING_MM + _words_mm(texts.opening) + _session_mm(session)
    before = [top_mm, *(_full_mm(n) for n in work)]
    after = [_NEXT_MM, _FOOT_MM]
    if has_caution:
        after.insert(0, _CAUTION_MM)
    if has_curve:
        after.insert(0, _CURVE_MM)
    shown: set[int] = set()
    lacking = None  # nothing that matters less takes the room of what did not fit
    for note in sorted(others, key=_rank):
        if lacking is not None and _rank(note) > lacking:
            break
        tried = shown | {note.card.number}
        rows = _rows(n for n in others if n.card.number in tried)
        left = [2 * _LINE_MM] if len(tried) < len(others) else []
        if _pages([*before, _HEADING_MM + rows[0], *rows[1:], *left, *after]) <= _PAGES:
            shown = tried
        else:
            lacking = _rank(note)
    printed = first | shown
    missing = tuple(n.card.number for n in notes if n.card.number not in printed)
    return Sheet(first, printed, missing)


def _pages(blocks: Iterable[float]) -> int:
    """How many pages blocks of these heights take that are not broken; too high ones are."""
    count, at = 1, 0.0
    for high in blocks:
        if at and at + high > _PAGE_MM:
            count, at = count + 1, 0.0
        at += high
        while at > _PAGE_MM:
            count, at = count + 1, at - _PAGE_MM
    return count


def _rows(notes: Iterable[NoteView]) -> list[float]:
    """Heights of notes two beside each other."""
    heights = [_half_mm(note) for note in notes]
    return [max(heights[i : i + 2]) for i in range(0, len(heights), 2)]


def _rank(note: NoteView) -> int:
    if note.cue:
        return 0
    return 1 if note.said else 2


def _full_mm(note: NoteView) -> float:
    """Words beside the pictures; below, cue and drill beside each other, and cautions."""

    def lines(part: NotePart, letters: float) -> float:
        return _lines(part.text, letters, _FULL_LARGER.get(part.kind, 1.0))

    said = 1.5 + sum(lines(p, _FULL) for p in note.parts if p.kind in ("title", "plain"))
    ways = [1.2 + lines(p, _FULL) for p in note.parts if p.kind in ("cue", "drill")]
    ways = [max(ways[i : i + 2]) for i in range(0, len(ways), 2)]
    ways += [1.8 + lines(p, _WIDE) for p in note.parts if p.kind == "care"]
    below = sum(ways) + (1.3 if note.cue else 0.0) + (1.8 if note.card.about_back else 0.0)
    return max(_FULL_PICTURE_MM, _LINE_MM * said) + _LINE_MM * below + _GAP_MM


def _half_mm(note: NoteView) -> float:
    lines = 1.2 + (1.3 if note.cue else 0.0) + (2.0 if not note.parts else 0.0)
    titled = any(part.kind == "title" for part in note.parts)
    for part in note.parts:
        # Beside its title and its cue, a long explanation stays on the page.
        if part.kind != "plain" or not titled:
            lines += 0.3 + _lines(part.text, _HALF, _HALF_LARGER.get(part.kind, 1.0))
    return max(_HALF_PICTURE_MM, _LINE_MM * lines) + _GAP_MM


def _session_mm(session: Session) -> float:
    """Drills beside each other, or the coach's words; below, what else is said in two columns."""
    drills = [
        _lines(e.dose, _HALF * 1.5, 1.1) + _lines(e.drill, _HALF * 1.5, 1.0)
        for e in session.exercises
    ]
    lines = 1.5 + sum(max(drills[i : i + 2]) for i in range(0, len(drills), 2))
    said = [session.stop, session.pain, " ".join(session.film)]
    lines += sum(_lines(text, _HALF * 1.5, 1.0) for text in said if text) * 0.75
    return _HEADING_MM + _LINE_MM * lines + sum(_words_mm(text) for text in session.words)


def _words_mm(text: str) -> float:
    return _LINE_MM * _lines(text, _WIDE, 1.15) if text else 0.0


def _lines(text: str, letters: float, larger: float) -> float:
    """How high words are, in lines of the usual size."""
    lines = (max(1, math.ceil(len(line) * larger / letters)) for line in text.splitlines())
    return larger * sum(lines)
