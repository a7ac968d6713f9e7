"""Smooth motion, against the same problem solved as a whole."""

from __future__ import annotations

import numpy as np

from analysis.body.following.banded import (
    Rod,
    column_variances,
    jerk_rows,
    smooth_columns,
    smooth_linked,
)


def uneven(count: int = 25) -> np.ndarray:
    return np.cumsum(np.random.default_rng(2).uniform(0.01, 0.05, count))


def whole(time_s: np.ndarray, weight: np.ndarray, jerk: float) -> np.ndarray:
    """The matrix of the normal equations of one column, built without bands."""
    rows, row_weight = jerk_rows(time_s, jerk)
    third = np.zeros((len(rows), len(time_s)))
    for i, row in enumerate(rows):
        third[i, i : i + 4] = row
    return third.T @ np.diag(row_weight) @ third + np.diag(weight)


def test_the_rows_give_the_third_derivative_at_uneven_times() -> None:
    time = uneven()
    rows, _ = jerk_rows(time, 1.0)
    cubic = 2.0 * time**3 - time**2 + 4.0
    windows = np.lib.stride_tricks.sliding_window_view(cubic, 4)
    assert np.allclose((rows * windows).sum(axis=1), 12.0)


def test_columns_and_their_variances_are_those_of_the_whole_problem() -> None:
    time = uneven()
    rng = np.random.default_rng(3)
    weight = rng.uniform(0.0, 4.0, (25, 3)) * (rng.random((25, 3)) < 0.4)
    weight[[0, 8, 20]] = 1.0
    wanted = rng.normal(size=(25, 3))
    smooth = smooth_columns(time, wanted, weight, 500.0)
    variance = column_variances(time, weight, 500.0)
    for c in range(3):
        inverse = np.linalg.inv(whole(time, weight[:, c], 500.0))
        assert np.allclose(smooth[:, c], inverse @ (weight[:, c] * wanted[:, c]), atol=1e-5)
        assert np.allclose(variance[:, c], np.diag(inverse), rtol=1e-4)


def test_each_column_may_turn_as_sharply_as_it_does() -> None:
    time = uneven()
    rng = np.random.default_rng(6)
    weight, wanted = rng.uniform(0.5, 4.0, (25, 2)), rng.normal(size=(25, 2, 2))
    each = np.array((50.0, 5e6))
    both = smooth_columns(time, wanted[..., 0], weight, each)
    linked = smooth_linked(time, wanted, weight, each, [], wanted)
    sure = column_variances(time, weight, each)
    for c, jerk in enumerate(each):
        matrix = whole(time, weight[:, c], jerk)
        assert np.allclose(both[:, c], np.linalg.solve(matrix, weight[:, c] * wanted[:, c, 0]))
        assert np.allclose(sure[:, c], np.diag(np.linalg.inv(matrix)), rtol=1e-4)
        alone = np.linalg.solve(matrix, weight[:, c, None] * wanted[:, c])
        assert np.allclose(linked[:, c], alone, atol=1e-6)


def test_a_silence_grows_less_sure_towards_its_middle() -> None:
    time = np.arange(60) / 30.0
    weight = np.ones((60, 1))
    weight[20:40] = 0.0
    sd = np.sqrt(column_variances(time, weight, 1e6))[:, 0]
    assert sd[30] > 2.0 * sd[22] > 2.0 * sd[10]


def test_rods_keep_lengths_that_readings_break() -> None:
    rng = np.random.default_rng(4)
    time = np.arange(90) / 30.0
    angle = np.sin(2.0 * time)
    tip = 100.0 * np.stack((np.cos(angle), np.sin(angle)), axis=1)
    truth = np.stack((np.zeros_like(tip), tip), axis=1)
    noisy = truth + rng.normal(0.0, [[0.01], [8.0]], truth.shape)
    weight = np.tile([1e4, 1.0 / 64.0], (90, 1))
    free = smooth_linked(time, noisy, weight, 1e9, [], noisy)
    rods = [Rod(0, 1, np.full(90, 1.0), 100.0)]
    held = free
    for _ in range(3):
        held = smooth_linked(time, noisy, weight, 1e9, rods, held)
    far = np.hypot(*(held[:, 1] - held[:, 0]).T)
    assert np.abs(far - 100.0).max() < 1.0 < np.abs(np.hypot(*free[:, 1].T) - 100.0).max()
    assert np.abs(held - truth).mean() < np.abs(free - truth).mean()


def test_a_rod_to_a_given_place_is_one_to_a_point_held_there() -> None:
    rng = np.random.default_rng(5)
    time = np.arange(30) / 30.0
    end = np.cumsum(rng.normal(size=(30, 2)), axis=0)
    tip = end + 50.0 + rng.normal(size=(30, 2))
    weight = np.ones((30, 1))
    given = smooth_linked(
        time, tip[:, None], weight, 1e6, [Rod(0, None, np.ones(30), 60.0, end)], tip[:, None]
    )
    both = np.stack((tip, end), axis=1)
    held = smooth_linked(
        time, both, np.tile([1.0, 1e9], (30, 1)), 1e6, [Rod(0, 1, np.ones(30), 60.0)], both
    )
    assert np.allclose(given[:, 0], held[:, 0], atol=1e-3)
