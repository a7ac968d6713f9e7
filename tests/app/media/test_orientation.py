from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.media.orientation import Turn, turn_of_matrix

turns = st.builds(Turn, st.integers(0, 3), st.booleans())


def matrix(a: float, b: float, c: float, d: float) -> bytes:
    rows = [a * 65536, b * 65536, 0, c * 65536, d * 65536, 0, 0, 0, 1 << 30]
    return np.array(rows).astype("=i4").tobytes()


# ISO/IEC 14496-12: (x, y) goes to (a x + c y, b x + d y), y downwards.
@pytest.mark.parametrize(
    ("numbers", "turn"),
    [
        ((1, 0, 0, 1), Turn(0)),
        ((0, 1, -1, 0), Turn(1)),
        ((-1, 0, 0, -1), Turn(2)),
        ((0, -1, 1, 0), Turn(3)),
        ((-1, 0, 0, 1), Turn(0, True)),
        ((1, 0, 0, -1), Turn(2, True)),
        ((0, 1, 1, 0), Turn(1, True)),
        ((0, -1, -1, 0), Turn(3, True)),
        ((2, 0, 0, 2), Turn(0)),
        ((0, 0, 0, 0), Turn(0)),
    ],
)
def test_display_matrix(numbers: tuple[int, int, int, int], turn: Turn) -> None:
    assert turn_of_matrix(matrix(*numbers)) == turn
    if numbers == (0, 0, 0, 0):
        return
    a, b, c, d = numbers
    image = np.zeros((4, 6, 1), np.uint8)
    points = {(0, 0): 1, (5, 0): 2, (0, 3): 3}
    for (x, y), value in points.items():
        image[y, x] = value
    moved = {(a * x + c * y, b * x + d * y): v for (x, y), v in points.items()}
    far = [(a * x + c * y, b * x + d * y) for x in (0, 5) for y in (0, 3)]
    left, top = min(x for x, _ in far), min(y for _, y in far)
    scale = max(abs(a), abs(b))
    turned = turn.apply(image)
    for (x, y), value in moved.items():
        assert turned[(y - top) // scale, (x - left) // scale, 0] == value


@given(turns, turns)
def test_one_turn_after_another(first: Turn, second: Turn) -> None:
    image = np.arange(24, dtype=np.uint8).reshape(2, 4, 3)
    step_by_step = second.apply(first.apply(image))
    np.testing.assert_array_equal(first.then(second).apply(image), step_by_step)


def test_a_short_matrix_turns_nothing() -> None:
    assert turn_of_matrix(b"abc") == Turn()
