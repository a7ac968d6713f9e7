"""A bundle is called as somebody called it, never like a file."""

from __future__ import annotations

import pytest

from app.bundle.sources.titles import title_of
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState

FILM = MediaRef("video", "sent/IMG 4711 at home.mp4", 1, "aa")
FORCE = MediaRef("trace", "..\\piece.csv", 1, "bb")


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("Autumn", "Autumn"),
        ("", ""),
        ("IMG 4711 at home", ""),
        ("IMG 4711 at home.mp4", ""),
        ("piece", ""),
        ("A piece in autumn", "A piece in autumn"),
    ],
)
def test_the_name_of_a_recording_is_no_title(typed: str, shown: str) -> None:
    assert title_of(ReviewState(title=typed, video=FILM, trace=FORCE)) == shown
