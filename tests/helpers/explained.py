"""Explanations for the tests of the shelf, and a voice to go with them."""

from __future__ import annotations

from app.review.parts.spoken_words import SpokenWord
from app.review.voice import to_wav
from app.shelf.explanation import (
    Anchored,
    Explanation,
    KeptCurveMark,
    KeptMark,
    KeptStroke,
    KeptVoice,
    new_explanation_id,
)
from tests.helpers.voices import tone

HZ = 48_000
WAV = to_wav(tone(0.5), HZ)
WORDS = (SpokenWord("Hang", 0.0, 0.2), SpokenWord("on.", 0.2, 0.4, "um"))


def whole(title: str = "The hands give way", code: str = "give-way") -> Explanation:
    """One with everything an explanation can have."""
    return Explanation(
        new_explanation_id(),
        title,
        (code,),
        words="‹athlete›, this is the moment.\nLook at the handle.",
        cue="Hang on",
        drill="Pauses",
        dose="3 x 10",
        until="April",
        film="From the side",
        phase="drive",
        body_part="arms",
        marks=(
            KeptMark(
                "arrow", "red", "", ((0.2, 0.5), (0.4, 0.5)),
                (Anchored("wrist", 0.0, 0.1), Anchored("wrist", 0.6, 0.1)),
                ((0.1, 0.4), (0.3, 0.4)),
            ),
            KeptMark("text", "yellow", "here", ((0.5, 0.5),), lasts_s=0.4, begins_s=-0.1),
        ),
        curve_marks=(KeptCurveMark("span", "time", "blue", "", ((20.0, 0.0), (45.0, 0.0))),),
        voice=KeptVoice(0.5, HZ, WORDS, accepted=True),
        stroke=KeptStroke("0" * 32, "model", "Beside the model"),
        kept_on="2026-03-31",
    )  # fmt: skip
