"""Loudness by band."""

from __future__ import annotations

import numpy as np
import pytest

from analysis.clocks.sound import SoundError, measure_sound

RATE_HZ = 16_000


def test_a_tone_is_heard_in_its_band_when_it_sounds() -> None:
    time_s = np.arange(0.0, 4.0, 1.0 / RATE_HZ)
    tone = np.where((time_s > 1.0) & (time_s < 2.0), np.sin(2.0 * np.pi * 1000.0 * time_s), 0.0)
    sound = (tone + np.random.default_rng(0).normal(0.0, 0.01, len(time_s))).astype(np.float32)
    heard = measure_sound([sound], RATE_HZ, start_s=5.0)
    loudest = int(np.argmax(heard.level.max(axis=0)))
    on = heard.time_s[heard.level[:, loudest] > heard.level[:, loudest].max() - 3.0]
    assert on[0] == pytest.approx(6.0, abs=0.015) and on[-1] == pytest.approx(7.0, abs=0.015)


def test_how_sound_is_cut_makes_no_difference() -> None:
    sound = np.random.default_rng(1).normal(0.0, 0.1, 2 * RATE_HZ).astype(np.float32)
    whole = measure_sound([sound], RATE_HZ)
    parts = measure_sound(np.array_split(sound, 7), RATE_HZ)
    np.testing.assert_allclose(parts.level, whole.level, rtol=1e-5)
    np.testing.assert_allclose(parts.time_s, whole.time_s)


def test_silence_and_short_sound_are_said() -> None:
    with pytest.raises(SoundError, match="silent"):
        measure_sound([np.zeros(2 * RATE_HZ, np.float32)], RATE_HZ)
    with pytest.raises(SoundError, match="less than a second"):
        measure_sound([np.ones(100, np.float32)], RATE_HZ)
