from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from app.review.clean_text import clean_name, clean_text


def test_what_steers_a_terminal_or_turns_words_round_is_taken_out() -> None:
    assert clean_text("a\x1b[2Jb\x9b31mc\x07\r\nd\te") == "a[2Jb31mc\nd\te"
    assert clean_name("film\u202e4pm.mp4\u2066\u200f") == "film4pm.mp4"
    assert clean_name("two\nlines\t.mp4") == "twolines.mp4"
    assert clean_name("\x1b\u202e") == "(a name nobody can read)"
    assert clean_name("été 1 – Größe.mp4") == "été 1 – Größe.mp4"


@given(st.text(alphabet=st.characters(codec=None), max_size=60))
def test_nothing_unprintable_is_left(text: str) -> None:
    left = clean_name(text)
    left.encode("utf-8")
    assert not any(unicodedata.category(c) == "Cc" for c in left)
    turning = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}
    assert not any(unicodedata.bidirectional(c) in turning for c in left)
