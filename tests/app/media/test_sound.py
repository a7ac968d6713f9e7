from __future__ import annotations

import wave
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from app.media.errors import MediaError
from app.media.index import read_index
from app.media.sound import has_sound, read_sound
from tests.helpers.clips import run_ffmpeg

Clips = Callable[[str], Path]

CLICKS_S = (0.4, 1.0, 1.5)


@pytest.fixture(scope="module")
def clicks(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two seconds of silence with a short click at each of CLICKS_S."""
    rate = 44100
    line = np.zeros(2 * rate)
    for at in CLICKS_S:
        start = round(at * rate)
        line[start : start + 60] = np.sin(np.arange(60) * 0.9) * np.hanning(60) * 0.8
    path = tmp_path_factory.mktemp("clicks") / "clicks.wav"
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(rate)
        out.writeframes((line * 32767).astype("<i2").tobytes())
    return path


def heard(sound: np.ndarray, rate: int) -> list[float]:
    """Times of the clicks, at the middle of each."""
    loud = np.flatnonzero(np.abs(sound) > 0.25 * np.abs(sound).max())
    groups = np.split(loud, np.flatnonzero(np.diff(loud) > rate // 50) + 1)
    return [float(g.mean()) / rate - 30 / 44100 for g in groups]


@pytest.mark.parametrize(
    ("name", "suffix", "codec"),
    [
        ("h264_b", ".mp4", ("aac",)),
        ("start_mp4", ".mp4", ("aac",)),
        ("h264_b", ".mkv", ("flac",)),
        ("ts", ".ts", ("aac",)),
        ("h264_b", ".mov", ("pcm_s16le",)),
        ("avi_h264", ".avi", ("libmp3lame",)),
    ],
)
@pytest.mark.parametrize("rate", [48000, 16000])
def test_sound_stands_at_the_time_of_the_picture(
    clip: Clips, clicks: Path, tmp_path: Path, name: str, suffix: str, codec: tuple[str], rate: int
) -> None:
    path = tmp_path / f"clip{suffix}"
    start = read_index(clip(name)).origin_s
    keep = ["-copyts"] if start else []
    run_ffmpeg("-i", clip(name), "-itsoffset", str(start), "-i", clicks, "-map", "0:v", "-map",
               "1:a", "-c:v", "copy", "-c:a", *codec, *keep, path)  # fmt: skip
    sound = read_sound(path, 0.0, 2.0, rate)
    assert sound.shape == (2 * rate,) and sound.dtype == np.float32
    slack = 0.027 if suffix == ".avi" else 0.003  # AVI writes down no encoder delay
    np.testing.assert_allclose(heard(sound, rate), CLICKS_S, atol=slack)
    part = read_sound(path, 0.8, 1.3, rate)
    np.testing.assert_allclose(heard(part, rate), [CLICKS_S[1] - 0.8], atol=slack)


def test_a_trimmed_clip_keeps_its_sound_in_step(clip: Clips, clicks: Path, tmp_path: Path) -> None:
    whole, path = tmp_path / "whole.mp4", tmp_path / "trimmed.mp4"
    run_ffmpeg("-i", clip("h264_b"), "-i", clicks, "-map", "0:v", "-map", "1:a", "-c:v", "copy",
               "-c:a", "aac", whole)  # fmt: skip
    run_ffmpeg("-ss", "0.55", "-i", whole, "-c", "copy", path)
    sound = read_sound(path, 0.0, 1.4)
    first_s = 17 / 30  # the first frame at or after the cut
    np.testing.assert_allclose(heard(sound, 48000), np.array(CLICKS_S[1:]) - first_s, atol=0.003)


def test_beyond_the_recording_is_silence(clip: Clips) -> None:
    sound = read_sound(clip("h264_b"), -0.5, 3.0)
    assert len(sound) == 3.5 * 48000
    assert not sound[: int(0.49 * 48000)].any()
    assert not sound[int(2.6 * 48000) :].any()
    assert np.abs(sound[48000:72000]).max() > 0.05


def test_no_sound(clip: Clips) -> None:
    assert not has_sound(clip("mkv")) and has_sound(clip("h264_b"))
    with pytest.raises(MediaError, match="no sound"):
        read_sound(clip("mkv"), 0, 1)
