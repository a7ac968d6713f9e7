"""A turn in an unclear picture is placed by the rest of its drive; one that is seen never moves."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.body.unsure_turns import PlacedTurn, sure_turns

FPS, WAY_M, SD_M = 30.0, 1.4, 0.02


def rowed(
    drives: list[float], rests: list[float], late_s: float = 0.0
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time, way and turns; the first drive seems to leave late, and has caught up half way."""
    begins = 0.6 + np.concatenate(([0.0], np.cumsum(np.add(drives, rests))))
    time_s = np.arange(0.0, begins[-1], 1.0 / FPS)
    where = np.zeros(len(time_s))
    for k, (begin, drive, rest) in enumerate(zip(begins[:-1], drives, rests, strict=True)):
        since = time_s - begin
        if k == 0:
            since = np.where(since < 0.5 * drive, since - late_s * (1 - since / drive / 0.5), since)
        out = np.clip(since / drive, 0.0, 1.0)
        back = np.clip((time_s - begin - drive) / rest, 0.0, 1.0)
        where += 0.5 * WAY_M * (np.cos(np.pi * back) - np.cos(np.pi * out))
    return time_s, where, begins[:-1]


def deviation(time_s: np.ndarray, around_s: float, times: float) -> np.ndarray:
    return np.where(np.abs(time_s - around_s) < 0.3, times * SD_M, SD_M)


def placed(
    drives: list[float], rests: list[float], late_s: float, times: float
) -> tuple[list[float], list[PlacedTurn]]:
    time_s, where, true_s = rowed(drives, rests, late_s)
    seen_s = true_s.copy()
    seen_s[0] += late_s
    found = sure_turns(time_s, where, deviation(time_s, seen_s[0], times), seen_s, WAY_M)
    return [one.time_s - true for one, true in zip(found, true_s, strict=True)], found


def test_a_late_turn_in_an_unclear_picture_is_placed_by_the_rest_of_its_drive() -> None:
    off, found = placed([0.9] * 6, [1.3] * 6, 0.11, 2.5)
    assert abs(off[0]) < 1.0 / FPS and abs(off[0]) < 2.0 * found[0].sd_s
    assert off[1:] == [0.0] * 5 and [one.sd_s for one in found[1:]] == [0.0] * 5


def test_what_is_clearly_seen_stays_however_it_differs() -> None:
    off, found = placed([0.9] * 6, [1.3] * 6, 0.11, 1.0)
    assert off[0] == pytest.approx(0.11) and found[0].sd_s == 0.0


@pytest.mark.parametrize("other", [0.7, 0.9, 1.4, 2.0])
def test_a_change_of_rhythm_is_not_taken_for_a_late_turn(other: float) -> None:
    """Recoveries of another length, in an unclear picture: where the turn was seen it stays."""
    off, found = placed([0.9] * 6, [other, 1.3, 1.3, other, 1.3, 1.3], 0.0, 2.5)
    assert off == [0.0] * 6 and found[0].sd_s > 0.0


@pytest.mark.parametrize("drive", [0.75, 1.05, 1.2])
def test_a_drive_of_another_length_turns_where_it_turned(drive: float) -> None:
    off, found = placed([drive, *[0.9] * 5], [1.3] * 6, 0.0, 2.5)
    assert abs(off[0]) < max(0.05, 2.0 * found[0].sd_s)


def test_too_few_other_drives_say_nothing() -> None:
    off, found = placed([0.9] * 3, [1.3] * 3, 0.11, 2.5)
    assert off[0] == pytest.approx(0.11) and found[0].sd_s == 0.0
