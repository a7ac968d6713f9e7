from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.media.encode import ClipWriter, cut_clip
from app.media.errors import MediaError
from app.media.sound import read_sound
from app.media.video import VideoFile
from tests.helpers.clips import FFPROBE, number_in, numbered
from tests.helpers.patience import HANGS_S

Clips = Callable[[str], Path]


def probe(path: Path) -> dict[str, Any]:
    assert FFPROBE is not None
    command = [FFPROBE, "-v", "error", "-show_streams", "-show_format", "-show_frames",
               "-select_streams", "v", "-of", "json", str(path)]  # fmt: skip
    return dict(json.loads(subprocess.run(command, capture_output=True, check=True).stdout))


def test_uneven_times_are_kept(clip: Clips, tmp_path: Path) -> None:
    out = tmp_path / "clip.mp4"
    with VideoFile.open(clip("h264_vfr")) as source:
        first, last = source.index.at(0.4), source.index.at(1.59)
        times = source.index.time_s[first : last + 1]
    start = float(times[0])
    cut_clip(clip("h264_vfr"), start, 1.6, out)
    with VideoFile.open(out) as made:
        assert len(made.index) == len(times)
        np.testing.assert_allclose(made.index.time_s, times - start, atol=1.2e-5)
        numbers = [number_in(made.frame_rgb(i)) for i in range(len(times))]
        assert numbers == list(range(first, last + 1))
        assert made.duration_s == pytest.approx(1.6 - start, abs=1e-4)


def test_what_a_phone_needs(clip: Clips, tmp_path: Path) -> None:
    out = tmp_path / "clip.mp4"
    cut_clip(clip("h264_b"), 0.5, 1.5, out, max_height=90)
    facts = probe(out)
    (stream,) = facts["streams"]
    assert (stream["codec_name"], stream["pix_fmt"]) == ("h264", "yuv420p")
    assert (stream["width"], stream["height"]) == (160, 90)
    for name in ("color_space", "color_primaries", "color_transfer"):
        assert stream[name] == "bt709"
    assert stream["color_range"] == "tv"
    assert facts["format"]["nb_streams"] == 2
    data = out.read_bytes()
    assert data.find(b"moov") < data.find(b"mdat")
    # No metadata but what the format itself fills in.
    assert set(facts["format"].get("tags", {})) <= {
        "major_brand", "minor_version", "compatible_brands"
    }  # fmt: skip
    assert b"strokeside" not in data and str(tmp_path).encode() not in data


def test_colours_survive(clip: Clips, tmp_path: Path) -> None:
    out = tmp_path / "clip.mp4"
    cut_clip(clip("h264_b"), 0.0, 0.3, out)
    with VideoFile.open(out) as made, VideoFile.open(clip("h264_b")) as source:
        off = made.frame_rgb(3).astype(int) - source.frame_rgb(3)
    assert np.abs(off.mean(axis=(0, 1))).max() < 2
    assert np.abs(off).mean() < 3


def test_sound_goes_with_it_at_full_speed_only(clip: Clips, tmp_path: Path) -> None:
    full, slow = tmp_path / "full.mp4", tmp_path / "slow.mp4"
    cut_clip(clip("h264_b"), 0.5, 1.5, full)
    cut_clip(clip("h264_b"), 0.5, 1.5, slow, speed=0.25)
    with VideoFile.open(full) as made:
        assert made.has_sound
        assert made.duration_s == pytest.approx(1.0, abs=1e-3)
    original, kept = read_sound(clip("h264_b"), 0.6, 1.4), read_sound(full, 0.1, 0.9)
    lags = range(-200, 201)
    match = [float(original[300:-300] @ kept[300 + k : len(kept) - 300 + k]) for k in lags]
    assert abs(lags[int(np.argmax(match))]) <= 110  # one period of the tone, 2.3 ms
    with VideoFile.open(slow) as made:
        assert not made.has_sound
        assert made.duration_s == pytest.approx(4.0, abs=1e-3)
        np.testing.assert_allclose(np.diff(made.index.time_s), 4 / 30, atol=1e-4)


def test_turned_and_mirrored(clip: Clips, tmp_path: Path) -> None:
    out = tmp_path / "clip.mp4"
    cut_clip(clip("rot90"), 0, 0.2, out, quarter_turns=3, mirrored=True)
    with VideoFile.open(out) as made:
        assert (made.width, made.height) == (180, 320)
        back = np.rot90(made.frame_rgb(4)[:, ::-1], -1)
        assert number_in(back) == 4


def test_stopped_or_failed_leaves_no_file(clip: Clips, tmp_path: Path) -> None:
    asked = iter([False] * 5 + [True] * 50)
    with pytest.raises(MediaError, match="stopped"):
        cut_clip(clip("h264_b"), 0, 1, tmp_path / "a.mp4", cancelled=lambda: next(asked))
    with pytest.raises(MediaError, match="no picture in the span"):
        cut_clip(clip("h264_b"), 5, 6, tmp_path / "b.mp4")
    with pytest.raises(MediaError, match="cannot be written"):
        cut_clip(clip("h264_b"), 0, 1, tmp_path / "nowhere" / "c.mp4")
    with pytest.raises(MediaError, match="above zero"):
        cut_clip(clip("h264_b"), 0, 1, tmp_path / "d.mp4", speed=0)
    assert not list(tmp_path.iterdir())


def test_progress_ends_at_one(clip: Clips, tmp_path: Path) -> None:
    shares: list[float] = []
    cut_clip(clip("h264_b"), 0, 0.5, tmp_path / "a.mp4", progress=shares.append)
    assert shares == sorted(shares) and shares[-1] == 1.0


def test_a_writer_of_its_own(tmp_path: Path) -> None:
    out = tmp_path / "own.mp4"
    times = [0.0, 0.05, 0.3, 0.31]
    with ClipWriter(out, 160, 90, sound_hz=48000) as clip:
        clip.add_sound(np.zeros(19200, np.float32))
        for i, t in enumerate(times):
            clip.add(numbered(i, 160, 90), t)
        with pytest.raises(MediaError, match="follow each other"):
            clip.add(numbered(9, 160, 90), 0.31)
        with pytest.raises(MediaError, match="one size"):
            clip.add(numbered(9, 90, 90), 0.35)
        clip.finish(0.4)
    with VideoFile.open(out) as made:
        np.testing.assert_allclose(made.index.time_s, times, atol=1e-5)
        assert made.duration_s == pytest.approx(0.4, abs=1e-4)
        assert [number_in(made.frame_rgb(i)) for i in range(4)] == [0, 1, 2, 3]
    with pytest.raises(MediaError, match="even sides"):
        ClipWriter(out, 161, 90)


# Writes a clip and a still under a limit on file size, which fails as a full disk does.
_CHILD = """
import resource, signal, sys
from app.media.encode import cut_clip
from app.media.errors import MediaError
from app.media.still import write_png
from app.media.video import VideoFile
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (3000, 3000))
for job in (
    lambda: cut_clip(sys.argv[1], 0, 2, sys.argv[2] + "/clip.mp4"),
    lambda: write_png(VideoFile.open(sys.argv[1]).frame_rgb(30), sys.argv[2] + "/still.png"),
):
    try:
        job()
        print("written")
    except MediaError as error:
        print(error)
"""


def test_a_full_disk_is_told_and_leaves_nothing(clip: Clips, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", _CHILD, str(clip("h264_b")), str(tmp_path)],
        capture_output=True, text=True, check=False, timeout=HANGS_S,
        cwd=Path(__file__).resolve().parents[3],
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    first, second = done.stdout.splitlines()
    assert first.startswith("clip.mp4 was not written: ") and first.endswith(".")
    assert second.startswith("still.png was not written: ") and second.endswith(".")
    assert not list(tmp_path.iterdir())


def test_slow_motion_is_cut_in_real_seconds(clip: Clips, tmp_path: Path) -> None:
    out = tmp_path / "clip.mp4"
    cut_clip(clip("h264_b"), 0.05, 0.15, out, speed=0.5, capture_fps=240)
    facts = probe(out)
    assert facts["format"]["nb_streams"] == 1  # silent
    with VideoFile.open(out) as made:
        numbers = [number_in(made.frame_rgb(i)) for i in range(len(made.index))]
        assert numbers == list(range(12, 36))
        assert made.duration_s == pytest.approx(0.2, abs=1e-3)
        assert made.fps == pytest.approx(120, rel=1e-3)
