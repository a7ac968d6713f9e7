"""Misheard words of the trade are put right; what anybody may have said is left alone."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review.parts.spoken_words import SpokenText, SpokenWord, check_spoken
from app.speech.lexicon import EVERYDAY
from app.speech.sounds import distance, phones
from app.speech.trade_words import put_right


def words_of(text: str) -> list[SpokenWord]:
    return [SpokenWord(w, i * 0.25, (i + 1) * 0.25) for i, w in enumerate(text.split())]


def righted(text: str, *names: str) -> str:
    return " ".join(word.text for word in put_right(words_of(text), names))


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("Hang your weight to look at.", "Hang your weight at the catch."),
        ("Connect the legs at the couch.", "Connect the legs at the catch."),
        ("Slow down into the cache, please.", "Slow down into the catch, please."),
        ("The slit drops when the rate goes up.", "The split drops when the rate goes up."),
        ("You row before the ship sling is done.", "You row before the hip swing is done."),
        ("Come up the slight slowly.", "Come up the slide slowly."),
    ],
)
def test_what_was_misheard_is_put_right(heard: str, meant: str) -> None:
    assert righted(heard) == meant


@pytest.mark.parametrize(
    "said",
    [
        "That is the thing to look at.",
        "You need to look at your split, please.",
        "There is a slight delay on the other side.",
        "Take a photo from the side, at hip height.",
        "Half the time you sit well.",
        "In the drift of the comparison there is some noise.",
        "Row six strokes at 20 and film it.",
        "It was the best of times, it was the worst of times.",
    ],
)
def test_what_anybody_may_say_is_left_alone(said: str) -> None:
    assert righted(said, "Jonas Example") == said


def test_the_name_of_the_athlete_is_known() -> None:
    assert righted("Breathe out, Jonnas.", "Jonas Meier") == "Breathe out, Jonas."
    assert righted("Breathe out, Jonnas.") == "Breathe out, Jonnas."


def test_what_was_changed_tells_what_was_heard_and_when() -> None:
    out = put_right(words_of("Hang to look at. Push"))
    assert [(w.text, w.heard) for w in out] == [
        ("Hang", ""), ("at", "to"), ("the", "look"), ("catch.", "at."), ("Push", ""),
    ]  # fmt: skip
    assert [w.from_s for w in out] == [0.0, 0.25, 0.5, 0.75, 1.0]


@settings(deadline=None, max_examples=40)
@given(st.lists(st.sampled_from([*sorted(EVERYDAY)[:80], "couch.", "slit", "Ünsinn", "2:1"])))
def test_any_words_come_out_as_words_in_order(texts: list[str]) -> None:
    out = put_right(words_of(" ".join(texts)), ["Ann-Kathrin O'Neill"])
    check_spoken(SpokenText("s", out))


@pytest.mark.parametrize(
    ("one", "near", "far"), [("couch", "catch", "chair"), ("jonnas", "jonas", "anna")]
)
def test_near_sounds_are_nearer(one: str, near: str, far: str) -> None:
    assert distance(phones(one), phones(near)) < distance(phones(one), phones(far))
    assert distance(phones(one), phones(one)) == 0.0
