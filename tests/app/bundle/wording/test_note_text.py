"""How the words of a note are set."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.bundle.wording.note_text import _MARKS as MARKS
from app.bundle.wording.note_text import NotePart, note_parts, ways_of, with_ways

LINES = st.lists(
    st.sampled_from(["Cue: hang", "drill: ten", "With care: stop", "Cue:", "a", "", " b "])
)


def test_cue_drill_and_care_stand_apart() -> None:
    text = (
        "Give\nForce drops.\nAnd rises.\nCue: Hang on.\nDrill: Legs only.\nWith care: Stop at pain."
    )
    assert note_parts(text) == (
        NotePart("title", "Give"),
        NotePart("plain", "Force drops.\nAnd rises."),
        NotePart("cue", "Hang on."),
        NotePart("drill", "Legs only."),
        NotePart("care", "Stop at pain."),
    )


def test_a_coach_may_write_the_marks_in_german() -> None:
    parts = note_parts("Lang\nMerksatz: Arme lang.\nÜbung: Nur Beine.\nMit Vorsicht: Halt.")
    assert [part.kind for part in parts] == ["title", "cue", "drill", "care"]


def test_a_plain_note_stays_as_it_was_typed() -> None:
    text = "Sit up.\n\nThen push: cue: none."
    assert note_parts(text) == (NotePart("plain", text),)


def test_a_long_first_line_is_no_title() -> None:
    long = "word " * 30
    assert note_parts(f"{long}\nCue: sit")[0].kind == "plain"


@given(LINES)
def test_no_word_is_lost(lines: list[str]) -> None:
    said = " ".join(part.text for part in note_parts("\n".join(lines)))
    for word in ("hang", "ten", "stop", "a", "b"):
        typed = sum(word in line.split() for line in lines)
        assert said.split().count(word) == typed


def test_a_mark_after_a_sentence_stands_apart_too() -> None:
    text = "The hands rise early. Cue: Hang on. Drill: Legs only.\nMore."
    assert note_parts(text) == (
        NotePart("title", "The hands rise early."),
        NotePart("cue", "Hang on."),
        NotePart("drill", "Legs only."),
        NotePart("plain", "More."),
    )
    # Within a sentence it is a word like any other.
    assert [p.kind for p in note_parts("I miss the right cue: hang on")] == ["plain"]


def test_cue_and_drill_of_a_note_are_put_into_other_words() -> None:
    text = "Give\nForce drops. Cue: Hang on.\nDrill: Legs only.\nWith care: Stop at pain."
    assert ways_of(text) == {"cue": "Hang on.", "drill": "Legs only."}
    said = with_ways(text, {"cue": "Long arms.", "drill": ""})
    assert said == "Give\nForce drops.\nCue: Long arms.\nWith care: Stop at pain."
    assert with_ways("Sit up.", {"cue": "Tall", "drill": ""}) == "Sit up.\nCue: Tall"


@given(LINES, st.text(max_size=20), st.text(max_size=20))
def test_other_words_are_found_again(lines: list[str], cue: str, drill: str) -> None:
    said = {"cue": " ".join(cue.split()), "drill": " ".join(drill.split())}
    if not any(mark in " ".join(said.values()).casefold() for mark in MARKS):
        assert ways_of(with_ways("\n".join(lines), said)) == said


@pytest.mark.parametrize("pause", [",", " –", " -", ";", "."])
def test_a_mark_in_a_line_counts_after_a_pause(pause: str) -> None:
    """As a coach types it, in one line: what was seen, then what to think of."""
    parts = note_parts(f"The hands rise early{pause} cue: hang on, drill: legs only")
    before = "The hands rise early" + (pause if pause in ";." else "")
    assert [(p.kind, p.text) for p in parts] == [
        ("title", before), ("cue", "hang on"), ("drill", "legs only")
    ]  # fmt: skip
    assert [p.kind for p in note_parts("I have a cue: hang on.")] == ["plain"]
    assert [p.kind for p in note_parts("Well-cue: no")] == ["plain"]
