from __future__ import annotations

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from app.review.values.text import clean_name, clean_text, plain, readable, without_controls


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


@given(st.text(alphabet=st.characters(codec=None), max_size=60))
def test_what_is_typed_can_be_written_and_keeps_its_lines(text: str) -> None:
    kept = readable(text)
    kept.encode("utf-8")
    assert readable(kept) == kept == without_controls(kept)
    assert not any(unicodedata.category(c) == "Cc" for c in kept if c not in "\t\n")
    ends = text.replace("\r\n", "\n").replace("\r", "\n").count("\n")
    assert kept.count("\n") == ends


def test_lines_of_all_systems_stay_lines() -> None:
    assert without_controls("a\r\nb\rc\nd\te\x1b[2J\x85f") == "a\nb\nc\nd\te[2Jf"
    assert readable("go\ud83d on \ud83d\udea3") == "go\ufffd on 🚣"


def test_names_in_a_sentence_are_short_and_harmless() -> None:
    assert plain("Zoë 🚣.review") == "Zoë 🚣.review"
    assert plain("a\x1b[31m\n\u202eb") == "a[31mb"
    assert plain("x" * 1_000_000) == "x" * 60 + "…"
