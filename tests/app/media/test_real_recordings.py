"""Recordings this project did not make, with presentation times published elsewhere."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest

from app.media.errors import MediaError
from app.media.video import VideoFile

TIMED = [
    "bbb_800x640_768kbps_30fps_avc_2b_firstpts_10_sec.mp4",
    "h265_bframes.mp4",
    "sample_android_slow_motion.mp4",
    "sample_h264.ts",
    "sample_rotate_and_reflect.mp4",
    "sample_with_htc_rotation_track_name.mkv",
    "sample_with_increasing_timestamps_320w_240h.mp4",
]


def published(folder: Path, name: str) -> np.ndarray:
    with (folder / "timing" / f"{name}.csv").open() as lines:
        return np.array([int(row["pts_us_published"]) for row in csv.DictReader(lines)]) / 1e6


@pytest.mark.parametrize("name", TIMED)
def test_times_as_published(shared_media: Path, name: str) -> None:
    expected = published(shared_media, name)
    with VideoFile.open(shared_media / "timing" / name) as video:
        assert len(video.index) == len(expected)
        # Published times are cut to microseconds.
        np.testing.assert_allclose(video.index.time_s, expected - expected[0], atol=2.1e-6)
        for i in (0, len(expected) // 2, len(expected) - 1):
            assert video.frame_rgb(i).shape == (video.height, video.width, 3)


def test_an_edit_list_hides_what_stands_before_it(shared_media: Path) -> None:
    name = "iibbibb_editlist_videoonly.mp4"
    expected = published(shared_media, name)
    shown = expected[expected >= 0]
    with VideoFile.open(shared_media / "timing" / name) as video:
        np.testing.assert_allclose(video.index.time_s, shown - shown[0], atol=2e-6)
        # The picture starts half a second into the recording's own timeline, and its sound with it.
        assert video.index.origin_s == pytest.approx(shown[0])


def test_the_better_of_two_pictures(shared_media: Path) -> None:
    name = "nasa_13013.mp4"
    truth = json.loads(
        (shared_media / "timing" / f"{name}__{name}.stream3.all_frames_info.json").read_text()
    )
    rows = truth.get("frames", truth) if isinstance(truth, dict) else truth
    times = np.array([float(row.get("pts_time", row.get("pts_seconds"))) for row in rows])
    with VideoFile.open(shared_media / "timing" / name) as video:
        assert (video.width, video.height) == (480, 270)
        np.testing.assert_allclose(video.index.time_s, times - times[0], atol=1e-5)


@pytest.mark.parametrize(("name", "turn"), [("rot_0", 0), ("rot_90", 90), ("rot_180", 180),
                                            ("rot_270", 270)])  # fmt: skip
def test_four_turns(shared_media: Path, name: str, turn: int) -> None:
    with VideoFile.open(shared_media / "trouble" / f"{name}.mov") as video:
        assert (video.rotation_deg, video.mirrored) == (turn, False)
        assert (video.width > video.height) == (turn in (0, 180))


def test_turned_and_mirrored(shared_media: Path) -> None:
    path = shared_media / "timing" / "sample_rotate_and_reflect.mp4"
    with VideoFile.open(path) as video:
        assert (video.rotation_deg, video.mirrored) == (90, True)
        assert (video.width, video.height) == (720, 1080)


def test_slow_motion_tells_its_rate(shared_media: Path) -> None:
    with VideoFile.open(shared_media / "timing" / "sample_android_slow_motion.mp4") as video:
        assert video.capture_fps == 240


def test_nothing_troublesome_crashes(shared_media: Path) -> None:
    sentences = {}
    for path in sorted((shared_media / "trouble").iterdir()):
        try:
            with VideoFile.open(path) as video:
                for i in range(len(video.index)):
                    video.frame_bgra(i, 160, 160)
                for i in (len(video.index) - 1, 0, len(video.index) // 2):
                    assert video.frame_rgb(i).shape == (video.height, video.width, 3)
        except MediaError as error:
            sentences[path.name] = str(error)
    assert set(sentences) == {"sample_audio_only.mp4"}
    assert "no picture" in sentences["sample_audio_only.mp4"]
