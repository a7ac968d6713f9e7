from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from app.media.describe import usable
from app.media.video import VideoFile
from tests.helpers.clips import run_ffmpeg

Clips = Callable[[str], Path]


def remarks(path: Path) -> str:
    with VideoFile.open(path) as video:
        return " ".join(usable(video))


def test_good_footage_needs_no_words(tmp_path: Path) -> None:
    path = tmp_path / "good.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "testsrc2=size=160x90:rate=50:duration=12", "-f", "lavfi",
               "-i", "sine=duration=12", "-c:v", "libx264", "-preset", "ultrafast",
               path)  # fmt: skip
    assert remarks(path) == ""


def test_every_fault_is_named(tmp_path: Path) -> None:
    path = tmp_path / "poor.mp4"
    run_ffmpeg("-f", "lavfi", "-i", "color=0x101010:size=90x160:rate=15:duration=4", "-c:v",
               "libx264", path)  # fmt: skip
    said = remarks(path)
    for word in ("15 frames per second", "Dark", "Short", "Portrait", "No sound"):
        assert word in said
    assert "Uneven" not in said


def test_uneven_rate_is_told_from_rounding(clip: Clips) -> None:
    assert "Uneven" in remarks(clip("h264_vfr"))
    assert "Uneven" not in remarks(clip("mkv"))


def test_slow_motion(shared_media: Path) -> None:
    said = remarks(shared_media / "timing" / "sample_android_slow_motion.mp4")
    assert "recorded at 240 frames per second" in said
