from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from app.submission.line_up_method import LineUpMethod, Origin


@given(st.text() | st.sampled_from(["assumed", "by hand", "by picture, checked by eye"]))
def test_what_a_review_stores_comes_back_as_it_was(stored: str) -> None:
    assert LineUpMethod.parse(stored).stored == stored


def test_a_hand_that_moves_or_checks_says_so_in_the_words_reviews_hold() -> None:
    found = LineUpMethod.parse("by picture and sound")
    assert found.checked().stored == "by picture and sound, checked by eye"
    assert found.checked().checked() == found.checked()
    assert found.checked().moved() == found
    assert found.candidate(2, 3).stored == "by picture and sound, candidate 2 of 3"
    assert LineUpMethod().moved().stored == "by hand"
    assert LineUpMethod().checked().stored == "by hand, checked by eye"
    assert LineUpMethod().checked().origin is Origin.BY_HAND
    assert found.checked().origin is Origin.FOUND
