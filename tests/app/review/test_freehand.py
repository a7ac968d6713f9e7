"""Taking hold of a freehand line, and bending it."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from app.review.freehand import GRIP_EVERY_PX, bent, grips
from app.review.mark_shapes import distance_to

numbers = st.floats(-2000.0, 2000.0)
points = st.tuples(numbers, numbers)
lines = st.lists(points, min_size=2, max_size=12).map(tuple)
pulls = st.floats(-500.0, 500.0)


@given(lines)
def test_grips_lie_on_the_line_from_end_to_end(line: tuple[tuple[float, float], ...]) -> None:
    found = grips(line)
    assert 3 <= len(found) <= 9
    assert found[0] == pytest.approx(line[0]) and found[-1] == pytest.approx(line[-1])
    assert all(distance_to(grip, (line,)) < 1e-6 for grip in found)


def test_a_long_line_has_a_grip_about_every_so_many_pixels() -> None:
    found = grips(((0.0, 0.0), (5 * GRIP_EVERY_PX, 0.0)))
    assert [x for x, _y in found] == pytest.approx([i * GRIP_EVERY_PX for i in range(6)])


@given(lines, st.integers(0, 8), pulls, pulls)
@example(((0.0, 0.0), (0.0, 5e-324)), 0, 0.0, 0.0)
def test_the_line_passes_where_a_grip_was_pulled_to(
    line: tuple[tuple[float, float], ...], which: int, dx: float, dy: float
) -> None:
    held = grips(line)
    grip = min(which, len(held) - 1)
    new = bent(line, grip, dx, dy)
    assert distance_to((held[grip][0] + dx, held[grip][1] + dy), (new,)) < 1.0
    length = sum(math.dist(a, b) for a, b in itertools.pairwise(line))
    if length > 1.0 and grip != 0:
        assert new[0] == pytest.approx(line[0], abs=1e-6)
    if length > 1.0 and grip != len(held) - 1:
        assert new[-1] == pytest.approx(line[-1], abs=1e-6)


def test_pulling_between_leaves_what_lies_beyond_the_neighbours_alone() -> None:
    line = ((0.0, 0.0), (350.0, 0.0))  # six grips, 70 apart
    new = bent(line, 2, 0.0, 60.0)
    assert max(y for _x, y in new) == pytest.approx(60.0)
    assert all(y == pytest.approx(0.0, abs=1e-9) for x, y in new if not 70.0 < x < 210.0)
    turns = [
        math.remainder(math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0]),
                       2 * math.pi)
        for a, b, c in zip(new, new[1:], new[2:], strict=False)
    ]  # fmt: skip
    assert max(abs(turn) for turn in turns) < math.radians(25), "it has no corner"


def test_a_straight_line_pulled_by_its_end_stays_straight() -> None:
    new = bent(((0.0, 0.0), (100.0, 0.0), (200.0, 0.0)), 3, 30.0, 40.0)
    assert new == (pytest.approx((0.0, 0.0)), pytest.approx((230.0, 40.0)))
