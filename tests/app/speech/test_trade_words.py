"""Misheard words of the trade are put right; what anybody may have said is left alone."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.review.parts.spoken_words import SpokenText, SpokenWord, check_spoken
from app.speech.everyday import EVERYDAY
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
        ("Slow the slide into the cache, please.", "Slow the slide into the catch, please."),
        ("The hip swang is late.", "The hip swing is late."),
        ("The slit drops when the rate goes up.", "The split drops when the rate goes up."),
        (
            "You bend the elbows before the ship sling is done.",
            "You bend the elbows before the hip swing is done.",
        ),
        ("Press into the stretchar.", "Press into the stretcher."),
        ("The finish comes to late.", "The finish comes too late."),
        (
            "Keep the knees down and come up the slight slowly.",
            "Keep the knees down and come up the slide slowly.",
        ),
    ],
)
def test_what_was_misheard_is_put_right(heard: str, meant: str) -> None:
    assert righted(heard) == meant


@pytest.mark.parametrize(
    "said",
    [
        "That is the thing to look at.",
        "Look at the match of the two curves.",
        "Watch it in slow playback and look at the patch of light.",
        "Look at the keys on the right of the screen.",
        "When you recover, breathe out and let the hands lead.",
        "Make one correction at a time.",
        "I have a collection of old clips for you.",
        "You are the strongest in the group this month.",
        "The pin is loose, tighten it before you row.",
        "The hinge squeaks because the pin is rusty.",
        "I drove home after the regatta.",
        "The site was closed, so we use the other room.",
        "Send me the sheet with your times.",
        "The hills behind you shake, so the camera moved.",
        "That streak on the screen is dust.",
        "You struck the front stop twice.",
        "You stoke it too early and the strike feels jerky.",
        "Do not lose your temper over one bad stroke.",
        "We saw stock and a knock on the door.",
        "You creep up the rail and then dive forward.",
        "The grape juice spilled over the mat.",
        "Drink something before the cat wakes up.",
        "Pay it into the cash box at the club.",
        "Put the phone at the couch and film from there.",
        "Stretch your legs at the couch.",
        "The Finnish crew trained at the lake.",
        "There are still your legs to look at.",
        "Your slide is a joy to look at.",
        "Your hand will slip when the handle is sweaty.",
        "You lay back at the finish.",
        "Shoot the side and the handle.",
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
    out = put_right(words_of("Hang your weight to look at. Push"))
    assert [(w.text, w.heard) for w in out] == [
        ("Hang", ""), ("your", ""), ("weight", ""), ("at", "to"),
        ("the", "look"), ("catch.", "at."), ("Push", ""),
    ]  # fmt: skip
    assert [w.from_s for w in out] == [0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5]


@pytest.mark.parametrize("word", ["stock", "gripe", "hell", "oar", "shoes", "bodies", "gripped"])
@pytest.mark.parametrize("around", ["we saw {} today", "look at the {} there", "the {} is late"])
def test_an_everyday_word_is_never_changed_by_its_sound(word: str, around: str) -> None:
    assert righted(around.format(word)) == around.format(word)


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
