"""The clock of the recorded samples follows the sound card."""

from __future__ import annotations

import pytest

from app.window.sound.sample_clock import SampleClock


def test_the_sample_clock_follows_the_samples_and_bridges_late_pieces() -> None:
    now = 0.0
    clock = SampleClock(lambda: now)
    for i in range(1, 200):  # 20 ms pieces, each late by 5 ms and some by a busy window
        now = max(now, i * 0.02 + 0.005) + (0.05 if i % 10 == 0 else 0.0)
        clock.heard(i * 0.02)
        assert clock.seconds() == pytest.approx(now - 0.005, abs=1e-9)
    now += 1.0  # nothing comes for a second: time goes on
    assert clock.seconds() == pytest.approx(now - 0.005, abs=1e-9)


def test_the_sample_clock_follows_a_sound_card_that_runs_slow() -> None:
    now, drift = 0.0, 1e-4
    clock = SampleClock(lambda: now)
    worst = 0.0
    for i in range(1, 15_000):  # five minutes
        now = i * 0.02 * (1 + drift) + 0.005
        clock.heard(i * 0.02)
        worst = max(worst, abs(clock.seconds() - i * 0.02))
    assert worst < 0.002


def test_the_sample_clock_finds_its_way_back_when_samples_are_lost() -> None:
    now = 0.0
    clock = SampleClock(lambda: now)
    for i in range(1, 50):
        now = i * 0.02
        clock.heard(i * 0.02)
    before = clock.seconds()
    for i in range(50, 150):  # the card lost a second and goes on
        now = 1.0 + i * 0.02
        clock.heard(i * 0.02)
        assert clock.seconds() >= before
        before = clock.seconds()
    assert clock.seconds() == pytest.approx(149 * 0.02)
