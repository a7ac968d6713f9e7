"""Words on pictures: what the font lacks is said, and right-to-left words are laid out so.

Names are held against the Unicode Character Database (through `unicodedata`), the order and the
joined forms of letters against the Unicode Bidirectional Algorithm (UAX 9) and HarfBuzz's shapes.
"""

from __future__ import annotations

import unicodedata

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.bundle.pictures.mark_paint import MarkPainter
from app.review.parts.marks import Mark
from app.review.parts.state import ReviewState
from app.scene.lettering import outlines as _outlines
from app.scene.lettering import width_of
from app.scene.signs import OWN_FONT, drawable, families_for


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("Good 👍", "Good (thumbs up)"),
        ("Good 👍🏽", "Good (thumbs up)"),
        ("💪", "(flexed biceps)"),
        ("keep ✅ it", "keep ✔ it"),
        ("❤️", "❤"),
        ("1️⃣ legs", "1 legs"),
        ("🇳🇿 row", "(NZ) row"),
        ("🇳", "(N)"),
        ("👩‍🦰", "(woman)(emoji component red hair)"),
        ("50 ° → 3 × 2", "50 ° → 3 × 2"),
    ],
)
def test_what_the_font_lacks_is_named(text: str, drawn: str) -> None:
    assert drawable(text) == drawn


def test_letters_and_their_joiners_stay() -> None:
    for text in ("שלום", "ظهرك مستقيم", "می\u200cروم", "क\u094d\u200dष", "漢字", "Grüße"):
        assert drawable(text) == text


@given(st.text(max_size=20))
def test_every_text_comes_out_without_a_sign_to_miss(text: str) -> None:
    again = drawable(text)
    assert drawable(again) == again
    assert not any(0x1F1E6 <= ord(c) <= 0x1F1FF or 0x1F3FB <= ord(c) <= 0x1F3FF for c in again)


def test_a_name_is_that_of_the_unicode_database() -> None:
    for sign in "🔥🚣💡🎯":
        assert drawable(sign) == f"({unicodedata.name(sign).lower()})"


def test_our_own_font_comes_first_and_alone_where_it_does() -> None:
    assert families_for("Hips first") == (OWN_FONT,)
    assert families_for("ظهرك שלום") == (OWN_FONT,)
    assert families_for("क")[0] == OWN_FONT


def test_hebrew_runs_from_right_to_left() -> None:
    """UAX 9: the first letter stands farthest right; a number keeps its order, to their left."""
    outlines = _outlines("אבג 12")
    leftmost = min(outlines, key=lambda o: float(o[:, 0].min()))
    rightmost = max(outlines, key=lambda o: float(o[:, 0].max()))
    assert _shape(leftmost) == pytest.approx(_shape(_outlines("1")[0]), abs=1e-6)
    assert _shape(rightmost) == pytest.approx(_shape(_outlines("א")[0]), abs=1e-6)


def test_arabic_letters_join() -> None:
    """Three letters beh joined are narrower than three apart: initial and medial forms."""
    assert _extent("ببب") < 0.8 * 3 * _extent("ب")


def test_a_still_shows_words_and_no_box_for_an_emoji() -> None:
    def painted(words: str) -> np.ndarray:
        mark = Mark("a", "text", ((10.0, 90.0),), "blue", words)
        image = np.full((180, 640, 4), 128, np.uint8)
        return MarkPainter(ReviewState(marks=(mark,)), (640, 180), lambda _s: 0).paint(image, 0.0)

    assert np.array_equal(painted("ok 💪"), painted("ok (flexed biceps)"))
    assert not np.array_equal(painted("שלום"), painted("םולש"))


def _extent(text: str) -> float:
    return max(float(o[:, 0].max()) for o in _outlines(text))


def _shape(outline: np.ndarray) -> np.ndarray:
    return np.asarray(outline - outline.min(axis=0))


@pytest.mark.parametrize("text", ["", " ", "\t"])
def test_nothing_to_write_is_no_letters(text: str) -> None:
    assert _outlines(text) == ()
    assert width_of(text) == 0.0
