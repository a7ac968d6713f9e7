"""The order of movement as a coach reads it: one bar a part over the drive."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from analysis.body.order import PARTS, Order, Over, PartOfDrive
from app.scene.plot import Letters, Scale
from app.scene.shapes import Drawing, Line, Measure, Rect, Shape

# What is written; a page of another language brings its own.
WORDS: Mapping[str, str] = {
    "legs": "Legs",
    "trunk": "Trunk",
    "arms": "Arms",
    "hands turn": "hands turn",
    "finish turn": "finish turn",
    "title": "Order of movement, from the picture",
    "still": "hardly move",
    "share": "of the handle's way",
}
INKS = {"legs": "left", "trunk": "own", "arms": "target"}
_FIRST, _LAST = -12.0, 106.0  # percent of the drive that is shown
_ROW = 2.6  # of the letters' size


@dataclass(frozen=True)
class OrderLook:
    """How wide the figure is and how large its letters are, points."""

    width: float
    letter: float


def order_drawing(
    order: Order, look: OrderLook, measure: Measure, words: Mapping[str, str] = WORDS
) -> Drawing:
    """Draw the order of movement: a bar from begun to done, a notch where each part is fastest.

    A thin line shows how far starts and ends spread over the strokes. Beside each bar stands what
    the part adds to the handle's way.

    Parameters
    ----------
    measure : of the painter its words are written by
    """
    size = look.letter
    letters = Letters(size, measure, "ink")
    left = 0.8 * size + max(letters.wide(words[name]) for name in PARTS) + 0.8 * size
    right = look.width - 1.4 * size - letters.wide("100 %")
    x = Scale(((_FIRST, left), (_LAST, right)))
    top = 2.6 * size
    bottom = top + _ROW * size * len(PARTS)
    shapes: list[Shape] = [letters.text(0.8 * size, 1.5 * size, words["title"])]
    title, share = words["title"], words["share"]
    if letters.wide(title) + letters.wide(share) + 3.0 * size < look.width:
        shapes.append(letters.text(look.width - 0.8 * size, 1.5 * size, share, "end", "quiet"))
    shapes += _frame(x, (top, bottom), letters, words)
    for row, name in enumerate(PARTS):
        middle = top + (row + 0.5) * _ROW * size
        part = order.part(name)
        shapes.append(letters.text(0.8 * size, middle + 0.36 * size, words[name]))
        shapes += _bar(part, x, middle, size)
        said = f"{part.share.middle:.0f} %".replace("-", "\N{MINUS SIGN}")
        shapes.append(letters.text(look.width - 0.8 * size, middle + 0.36 * size, said, "end"))
        if part.start is None:
            shapes.append(letters.text(x.at(2.0), middle + 0.36 * size, words["still"]))
    return Drawing(look.width, bottom + 2.4 * size, tuple(shapes))


def order_words(order: Order, words: Mapping[str, str] = WORDS) -> str:
    """Say the figure, for whoever cannot see it."""
    said = []
    for part in order.parts:
        name, share = words[part.name], f"{part.share.middle:.0f} % of the handle's way"
        if part.start is None or part.end is None:
            said.append(f"{name}: {words['still']}, {share}.")
        else:
            said.append(
                f"{name}: from {part.start.middle:.0f} to {part.end.middle:.0f} % of the drive, "
                f"{share}."
            )
    return " ".join((f"{words['title']}.", *said))


def _frame(
    x: Scale, ends: tuple[float, float], letters: Letters, words: Mapping[str, str]
) -> list[Shape]:
    """The two turns as upright lines, named below."""
    size, (top, bottom) = letters.size, ends
    shapes: list[Shape] = []
    for at in (0.0, 25.0, 50.0, 75.0, 100.0):
        place = x.at(at)
        ink, wide = ("hair", 0.12) if at in (0.0, 100.0) else ("rule", 0.07)
        shapes.append(Line(((place, top), (place, bottom)), ink, wide * size))
    begin, end = words["hands turn"], words["finish turn"]
    shapes.append(letters.text(x.at(0.0), bottom + 1.4 * size, begin, "middle", "quiet"))
    shapes.append(letters.text(x.at(100.0), bottom + 1.4 * size, end, "middle", "quiet"))
    return shapes


def _bar(part: PartOfDrive, x: Scale, middle: float, size: float) -> list[Shape]:
    if part.start is None or part.end is None or part.peak is None:
        return []
    left, right = _inside(x, part.start.middle), _inside(x, part.end.middle)
    ink = INKS[part.name]
    high = 1.1 * size
    shapes: list[Shape] = [
        Rect(left, middle - 0.5 * high, max(right - left, 0.2 * size), high, ink, 0.8, 0.25 * size)
    ]
    shapes += [_spread(over, x, middle + 0.75 * size, size) for over in (part.start, part.end)]
    peak = _inside(x, part.peak.middle)
    notch = ((peak, middle - 0.5 * high), (peak, middle + 0.5 * high))
    return [*shapes, Line(notch, "ground", 0.3 * size)]


def _spread(over: Over, x: Scale, y: float, size: float) -> Line:
    return Line(((_inside(x, over.low), y), (_inside(x, over.high), y)), "quiet", 0.14 * size)


def _inside(x: Scale, at: float) -> float:
    return x.at(min(max(at, _FIRST), _LAST))
