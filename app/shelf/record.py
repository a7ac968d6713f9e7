"""An explanation as JSON. What is read may come from anybody: types, numbers and lengths are held.

The same form lies in the coach's shelf and in a file of explanations; docs/shelf.md has it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, Final, TypeVar

from analysis.body.track import POINTS
from analysis.force.curves import Axis
from app.review.answers import harmless
from app.review.parts.comparisons import LAYOUTS, TIMINGS, Layout, Timing
from app.review.parts.curve_marks import check_curve_marks, new_curve_mark
from app.review.parts.marks import Point, check_marks, new_mark
from app.review.parts.notes import BODY_PARTS, PHASES
from app.review.parts.spoken_words import SpokenText, SpokenWord, check_spoken
from app.review.values.stroke_ref import is_reference
from app.shelf.errors import ShelfError
from app.shelf.explanation import (
    Anchored,
    Explanation,
    KeptCurveMark,
    KeptMark,
    KeptStroke,
    KeptVoice,
)

LONGEST_TEXT: Final = 10_000
LONGEST_LINE: Final = 300
MOST_CODES: Final = 20
MOST_MARKS: Final = 200
MOST_POINTS: Final = 5_000
MOST_WORDS: Final = 5_000
LONGEST_VOICE_S: Final = 600.0
_RATES_HZ: Final = (8_000, 192_000)
_FURTHEST: Final = 1e4
_ID: Final = re.compile(r"[0-9a-f]{32}")
_CODE: Final = re.compile(r"[a-z0-9_-]{1,80}")
_LANGUAGE: Final = re.compile(r"[A-Za-z-]{2,16}")
_DAY: Final = re.compile(r"(\d{4}-\d{2}-\d{2})?", re.ASCII)
_TEXTS: Final = ("words", "cue", "drill", "dose", "until", "film", "care")
T = TypeVar("T", bound=str)


def as_record(kept: Explanation) -> dict[str, Any]:
    """Give an explanation as plain values, ready for JSON."""
    return asdict(kept)


def from_record(said: object) -> Explanation:
    """Read an explanation that anybody may have written.

    Raises
    ------
    ShelfError
        Something in it is of another kind, too long, or could not be shown.
    """
    try:
        return _explanation(_Told(said))
    except (ValueError, TypeError, KeyError, OverflowError) as error:
        # A sentence of the review's checks says more, but speaks of a review.
        raise ShelfError("An explanation in it is not as Strokeside writes them.") from error


class _Told:
    """A table of somebody's, whose entries are asked for by what they must be."""

    def __init__(self, said: object) -> None:
        if not isinstance(said, dict):
            raise ValueError("no table")
        self._said = said

    def text(self, key: str, longest: int = LONGEST_TEXT) -> str:
        value = self._said.get(key, "")
        if not isinstance(value, str) or len(value) > longest:
            raise ValueError(key)
        return harmless(value)

    def like(self, key: str, form: re.Pattern[str]) -> str:
        value = self._said.get(key, "")
        if not isinstance(value, str) or form.fullmatch(value) is None:
            raise ValueError(key)
        return value

    def word(self, key: str, of: Sequence[T]) -> T:
        found = [word for word in of if word == self._said.get(key)]
        if not found:
            raise ValueError(key)
        return found[0]

    def flag(self, key: str, usual: bool) -> bool:
        value = self._said.get(key, usual)
        if not isinstance(value, bool):
            raise TypeError(key)
        return value

    def number(self, key: str, low: float, high: float) -> float:
        return number(self._said[key], low, high)

    def number_or_none(self, key: str, low: float, high: float) -> float | None:
        return None if self._said.get(key) is None else self.number(key, low, high)

    def items(self, key: str, most: int) -> list[Any]:
        value = self._said.get(key, [])
        if not isinstance(value, list) or len(value) > most:
            raise ValueError(key)
        return value

    def table(self, key: str) -> _Told | None:
        return None if self._said.get(key) is None else _Told(self._said[key])

    def points(self, key: str) -> tuple[Point, ...]:
        return tuple(_point(pair) for pair in self.items(key, MOST_POINTS))


def number(value: object, low: float, high: float) -> float:
    """A finite number within bounds; raises ValueError or TypeError for all else."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError("no number")
    if not (math.isfinite(value) and low <= value <= high):
        raise ValueError("no number that could be")
    return float(value)


def _point(pair: object) -> Point:
    if not isinstance(pair, list) or len(pair) != 2:
        raise ValueError("no point")
    x, y = (number(value, -_FURTHEST, _FURTHEST) for value in pair)
    return x, y


def _explanation(said: _Told) -> Explanation:
    texts = {key: said.text(key) for key in _TEXTS}
    voice, stroke = said.table("voice"), said.table("stroke")
    codes = [_Told({"code": c}).like("code", _CODE) for c in said.items("codes", MOST_CODES)]
    title = " ".join(said.text("title", LONGEST_LINE).split())
    return Explanation(
        id=said.like("id", _ID),
        title=title or "An explanation",
        codes=tuple(dict.fromkeys(codes)),
        **texts,
        says_title=said.flag("says_title", True),
        says_what=said.flag("says_what", True),
        phase=said.word("phase", ("", *PHASES)),
        body_part=said.word("body_part", ("", *BODY_PARTS)),
        whole_stroke=said.flag("whole_stroke", False),
        stroke_share=said.number_or_none("stroke_share", 0.0, 2.0),
        marks=tuple(_mark(_Told(m)) for m in said.items("marks", MOST_MARKS)),
        curve_marks=tuple(_curve_mark(_Told(m)) for m in said.items("curve_marks", MOST_MARKS)),
        voice=None if voice is None else _voice(voice),
        stroke=None if stroke is None else _stroke(stroke),
        kept_on=said.like("kept_on", _DAY),
    )


def _mark(said: _Told) -> KeptMark:
    kept = KeptMark(
        said.text("kind", 20),
        said.text("colour", 20),
        said.text("text", LONGEST_LINE),
        said.points("in_picture"),
        tuple(_anchored(_Told(a)) for a in said.items("on_body", MOST_POINTS)),
        said.points("on_machine"),
        said.number("begins_s", -_FURTHEST, _FURTHEST),
        said.number_or_none("lasts_s", 0.0, _FURTHEST),
    )
    count = len(kept.in_picture)
    if len(kept.on_body) not in (0, count) or len(kept.on_machine) not in (0, count):
        raise ValueError("points that do not belong together")
    check_marks((new_mark(kept.kind, kept.in_picture, 0.0, None, kept.colour),), None)
    return kept


def _anchored(said: _Told) -> Anchored:
    return Anchored(
        said.word("point", POINTS),
        said.number("forward", -_FURTHEST, _FURTHEST),
        said.number("up", -_FURTHEST, _FURTHEST),
    )


def _curve_mark(said: _Told) -> KeptCurveMark:
    axes: tuple[Axis, ...] = ("time", "length")
    points = said.points("points")
    kept = KeptCurveMark(
        said.text("kind", 20),
        said.word("axis", axes),
        said.text("colour", 20),
        said.text("text", LONGEST_LINE),
        points,
        said.flag("of_stroke", False),
    )
    if not all(0.0 <= percent <= 100.0 and 0.0 <= share <= 100.0 for percent, share in points):
        raise ValueError("a mark beside the curve")
    check_curve_marks((new_curve_mark(kept.kind, kept.axis, points, kept.colour),))
    return kept


def _voice(said: _Told) -> KeptVoice:
    words = tuple(_word(_Told(w)) for w in said.items("words", MOST_WORDS))
    kept = KeptVoice(
        said.number("length_s", 1e-3, LONGEST_VOICE_S),
        round(said.number("sample_hz", *_RATES_HZ)),
        words,
        said.like("language", _LANGUAGE),
        said.flag("accepted", False),
        said.flag("by_program", True),
        said.flag("says_name", False),
    )
    check_spoken(SpokenText("", words))
    return kept


def _word(said: _Told) -> SpokenWord:
    return SpokenWord(
        said.text("text", LONGEST_LINE),
        said.number("from_s", 0.0, LONGEST_VOICE_S),
        said.number("to_s", 0.0, LONGEST_VOICE_S),
        said.text("heard", LONGEST_LINE),
    )


def _stroke(said: _Told) -> KeptStroke:
    timings: tuple[Timing, ...] = ("phase", "real", "free")
    layouts: tuple[Layout, ...] = ("beside", "above", "over")
    assert (timings, layouts) == (TIMINGS, LAYOUTS)
    reference_id = said.text("reference_id", 40)
    if not is_reference(reference_id):
        raise ValueError("no reference stroke")
    return KeptStroke(
        reference_id,
        said.text("label", LONGEST_LINE),
        said.text("title", LONGEST_LINE),
        said.text("text"),
        said.word("timing", timings),
        said.word("layout", layouts),
        said.number("opacity", 0.0, 1.0),
    )
