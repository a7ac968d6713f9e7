from __future__ import annotations

import numpy as np
import pytest

from analysis.body.order import Order, Over, PartOfDrive
from app.bundle.pictures.movement import order_sentence
from app.bundle.pictures.strip_axis import drawing_of
from app.bundle.pictures.strip_data import StripFrame, StripSpan, StripWords, StrokeStrip
from app.bundle.wording.languages import LANGUAGES
from app.bundle.wording.words import ENGLISH
from app.scene import raster
from app.scene.shapes import Circle, Picture, Text


def order(**starts: float | None) -> Order:
    def part(name: str, start: float | None) -> PartOfDrive:
        over = None if start is None else Over(start, start, start)
        return PartOfDrive(name, over, over, over, Over(33.0, 33.0, 33.0))

    return Order(tuple(part(name, start) for name, start in starts.items()), 5)


@pytest.mark.parametrize(
    ("starts", "said"),
    [
        ((5.0, 30.0, 60.0), "In your drive first come the legs, then the trunk, then the arms."),
        ((5.0, 8.0, 60.0),
         "In your drive first come the legs and the trunk together, then the arms."),
        ((40.0, 10.0, 12.0),
         "In your drive first come the trunk and the arms together, then the legs."),
        ((4.0, 5.0, 6.0), "In your drive the legs, the trunk and the arms come together."),
        ((5.0, None, 60.0), "In your drive first come the legs, then the arms."),
        ((5.0, None, None), ""),
    ],
)  # fmt: skip
def test_the_order_is_said_in_one_plain_sentence(
    starts: tuple[float | None, float | None, float | None], said: str
) -> None:
    found = order(legs=starts[0], trunk=starts[1], arms=starts[2])
    assert order_sentence(found, ENGLISH) == said
    for words in LANGUAGES.values():
        assert "{" not in order_sentence(found, words)


@pytest.mark.parametrize("width", [360.0, 840.0])
def test_frames_stand_over_the_turns_and_words_keep_inside(width: float) -> None:
    places = tuple(float(p) for p in np.linspace(-7.0, 107.0, 9))
    image = np.zeros((60, 100, 3), np.uint8)
    frames = tuple(StripFrame(1.0 + p / 100.0, p + 0.8, p, image) for p in places)
    span = StripSpan(80.0, 100.0, "a finding with a name that is long")
    strip = StrokeStrip(
        frames, places, (np.linspace(-30.0, 130.0, 5), np.empty(0)),
        span=span,
        words=StripWords("hands turn", "", "finish turn"),
    )  # fmt: skip
    drawing = drawing_of(strip, width)
    texts = [s for s in drawing.shapes if isinstance(s, Text)]
    assert {t.text for t in texts} == {"hands turn", "finish turn", span.words}
    for text in texts:
        half = 0.5 * raster.measure(text.text, text.size, text.bold)
        assert text.x - half >= 0.0 and text.x + half <= width and text.y <= drawing.height
    dots = [s.x for s in drawing.shapes if isinstance(s, Circle)]
    pictures = [s for s in drawing.shapes if isinstance(s, Picture)]
    assert dots == sorted(dots) and len(dots) == len(pictures) >= 4
