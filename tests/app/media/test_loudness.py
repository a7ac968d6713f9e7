"""Loudness against the standard's own test signals.

ITU-R BS.1770-4: a 997 Hz sine at full scale in one channel reads -3.01 LKFS. EBU Tech 3341 (signals
1, 3 and 5, from memory): stereo sines of 1 kHz read -23.0 LUFS within 0.1 LU. The K filter's
coefficients at 48 kHz are those printed in BS.1770-4, tables 1 and 2.
"""

from __future__ import annotations

import math
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from app.media.errors import MediaError
from app.media.loudness import PEAK_DBTP, VOICE_LUFS, evened, loudness_lufs, true_peak_dbtp
from app.media.voice_file import write_m4a

RATE = 48_000


def sine(level_dbfs: float, seconds: float, hz: float = 1000.0) -> NDArray[np.float64]:
    t = np.arange(round(seconds * RATE)) / RATE
    return 10 ** (level_dbfs / 20) * np.sin(2 * np.pi * hz * t)


def stereo(*parts: tuple[float, float]) -> NDArray[np.float64]:
    mono = np.concatenate([sine(level, seconds) for level, seconds in parts])
    return np.stack([mono, mono], axis=1)


def speech(seconds: float = 6.0, level: float = 0.02) -> NDArray[np.float64]:
    """Noise shaped like speech: most of it below 4 kHz, in syllables, with pauses and bursts."""
    from scipy.signal import butter, sosfilt

    rng = np.random.default_rng(7)
    count = round(seconds * RATE)
    noise = sosfilt(
        butter(2, [150, 3000], "bandpass", fs=RATE, output="sos"), rng.standard_normal(count)
    )
    knots = np.arange(0, count + 9600, 9600)
    syllables = np.interp(np.arange(count), knots, rng.random(len(knots)) ** 3)
    voice = noise * syllables
    return voice * level / np.std(voice)


def test_a_full_scale_sine_in_one_channel() -> None:
    assert loudness_lufs(sine(0.0, 20.0, 997.0), RATE) == pytest.approx(-3.0103, abs=0.005)


def test_a_sine_at_minus_23_in_both_channels_and_in_one() -> None:
    both = np.stack([sine(-23.0, 20.0, 997.0)] * 2, axis=1)
    assert loudness_lufs(both, RATE) == pytest.approx(-23.0, abs=0.01)
    assert loudness_lufs(sine(-23.0, 20.0), RATE) == pytest.approx(-26.0, abs=0.05)


@pytest.mark.parametrize(
    "parts",
    [
        ((-23.0, 20.0),),
        ((-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0)),  # the relative gate leaves the ends out
        ((-26.0, 20.0), (-20.0, 20.1), (-26.0, 20.0)),  # and here it must not
        ((-72.0, 10.0), (-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0), (-72.0, 10.0)),
    ],
)
def test_the_gates(parts: tuple[tuple[float, float], ...]) -> None:
    assert loudness_lufs(stereo(*parts), RATE) == pytest.approx(-23.0, abs=0.1)


@pytest.mark.parametrize(("hz", "gain_db"), [(100.0, -1.133), (997.0, 0.691), (10_000.0, 4.042)])
def test_the_weighting_by_frequency(hz: float, gain_db: float) -> None:
    """The K filter's gain, computed from the printed coefficients; -0.691 is the standard's own."""
    read = loudness_lufs(sine(0.0, 10.0, hz), RATE)
    assert read - (-3.0103 - 0.691) == pytest.approx(gain_db, abs=0.01)


def test_silence_has_no_loudness_and_stays_silent() -> None:
    assert loudness_lufs(np.zeros(RATE), RATE) == -math.inf
    assert loudness_lufs(np.zeros(0), RATE) == -math.inf
    assert not evened(np.zeros(RATE), RATE).any()


def test_a_peak_between_the_samples_is_found() -> None:
    """A quarter-rate sine sampled 45 degrees off its crests peaks 3.01 dB over its samples."""
    t = np.arange(RATE)
    between = np.sin(np.pi / 2 * t + np.pi / 4)
    assert 20 * math.log10(np.abs(between).max()) == pytest.approx(-3.01, abs=0.01)
    assert true_peak_dbtp(between[1000:-1000] * np.hanning(RATE - 2000)) == pytest.approx(
        0.0, abs=0.2
    )


@pytest.mark.parametrize("level", [0.004, 0.01, 0.05, 0.2])
def test_voices_come_to_one_level_without_a_peak_sticking_out(level: float) -> None:
    loud = evened(speech(level=level), RATE)
    assert loudness_lufs(loud, RATE) == pytest.approx(VOICE_LUFS, abs=0.1)
    assert true_peak_dbtp(loud) <= PEAK_DBTP + 0.05


def test_a_room_in_which_nobody_spoke_is_not_blown_up() -> None:
    quiet = speech(level=1e-4)
    loud = evened(quiet, RATE)
    assert 20 * math.log10(np.std(loud) / np.std(quiet)) <= 30.01


def test_a_word_shorter_than_a_block_is_evened_too() -> None:
    loud = evened(sine(-30.0, 0.25, 997.0), RATE)
    assert 20 * math.log10(np.abs(loud).max()) == pytest.approx(VOICE_LUFS + 3.0103, abs=0.3)


def test_the_file_decodes_to_the_same_loudness_and_length(tmp_path: Path) -> None:
    voice = evened(speech(), RATE)
    write_m4a(voice, RATE, tmp_path / "a.m4a")
    with av.open(str(tmp_path / "a.m4a")) as file:
        assert set(file.metadata) <= {"major_brand", "minor_version", "compatible_brands"}
        back = np.concatenate([f.to_ndarray()[0] for f in file.decode(audio=0)]).astype(np.float64)
    assert len(back) / RATE == pytest.approx(len(voice) / RATE, abs=0.03)
    assert loudness_lufs(back, RATE) == pytest.approx(VOICE_LUFS, abs=0.5)
    assert true_peak_dbtp(back) <= 0.0
    data = (tmp_path / "a.m4a").read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")
    write_m4a(voice, RATE, tmp_path / "b.m4a")
    assert (tmp_path / "b.m4a").read_bytes() == data


def test_a_folder_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(MediaError, match=r"a\.m4a cannot be written"):
        write_m4a(np.zeros(RATE), RATE, tmp_path / "none" / "a.m4a")
