"""Two strokes are told apart by what differs in their labels."""

from __future__ import annotations

import pytest

from app.review.values.stroke_labels import NO_LABEL, apart


@pytest.mark.parametrize(
    ("left", "right", "short"),
    [
        ("Robin · March · stroke 4", "Robin · March · stroke 9", ("stroke 4", "stroke 9")),
        (
            "Robin · March · stroke 4",
            "Robin · May · stroke 4",
            ("March · stroke 4", "May · stroke 4"),
        ),
        ("Robin · stroke 4", "A steady stroke", ("stroke 4", "A steady stroke")),
        ("Stroke 2", "Stroke 2", ("Stroke 2", "Stroke 2")),
        ("", "", (NO_LABEL, NO_LABEL)),
    ],
)
def test_what_both_begin_with_is_left_out(left: str, right: str, short: tuple[str, str]) -> None:
    assert apart(left, right) == short
