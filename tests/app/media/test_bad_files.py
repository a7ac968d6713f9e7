"""Files that cannot be used: one sentence each, and never a crash."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from av.container import InputContainer
from av.packet import Packet
from av.stream import Stream

from app.media.errors import MediaError
from app.media.source import open_source, packets_of
from app.media.video import VideoFile
from tests.helpers.clips import run_ffmpeg
from tests.helpers.patience import HANGS_S

Clips = Callable[[str], Path]


def sentence(path: Path) -> str:
    with pytest.raises(MediaError) as caught:
        VideoFile.open(path)
    text = str(caught.value)
    assert "\n" not in text and text.endswith(".")
    assert "Traceback" not in text and "Errno" not in text
    return text


def test_missing(tmp_path: Path) -> None:
    assert "not there" in sentence(tmp_path / "gone.mp4")


def test_folder(tmp_path: Path) -> None:
    assert "folder" in sentence(tmp_path)


def test_empty(tmp_path: Path) -> None:
    path = tmp_path / "empty.mp4"
    path.touch()
    assert "empty" in sentence(path)


@pytest.mark.parametrize("suffix", [".mp4", ".mov", ".mkv", ".avi", ".ts"])
def test_binary(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"noise{suffix}"
    path.write_bytes(random.Random(3).randbytes(40_000))
    assert "copy it again" in sentence(path) or "no picture" in sentence(path)


@pytest.mark.parametrize(
    "text",
    ["time,force\n0,1\n", "#EXTM3U\n#EXTINF:1,\nhttp://192.0.2.1/a.ts\n",
     "ffconcat version 1.0\nfile '/etc/hostname'\n", "<html></html>"],
)  # fmt: skip
def test_text_and_lists_of_other_files_are_no_recordings(tmp_path: Path, text: str) -> None:
    path = tmp_path / "list.mp4"
    path.write_text(text * 20)
    assert "not a recording" in sentence(path)


def test_cut_off_before_its_table_of_frames(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "cut.mp4"
    data = clip("h264_b").read_bytes()
    path.write_bytes(data[: len(data) // 2])
    assert "cut off" in sentence(path)


def test_cut_off_after_its_table_of_frames(clip: Clips, tmp_path: Path) -> None:
    front, path = tmp_path / "front.mp4", tmp_path / "cut.mp4"
    run_ffmpeg("-i", clip("h264_long"), "-c", "copy", "-movflags", "+faststart", front)
    data = front.read_bytes()
    path.write_bytes(data[: len(data) * 2 // 3])
    with VideoFile.open(path) as video:
        assert 50 < len(video.index) < 200
        assert video.frame_bgra(len(video.index) - 2, 80, 80).shape == (44, 80, 4)


def test_wrong_extension_is_no_matter(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "really_mp4.avi"
    path.write_bytes(clip("h264_b").read_bytes())
    with VideoFile.open(path) as video:
        assert len(video.index) == 60


def test_sound_only(tmp_path: Path, clip: Clips) -> None:
    path = tmp_path / "sound.mp4"
    run_ffmpeg("-i", clip("h264_b"), "-vn", path)
    assert "sound but no picture" in sentence(path)


def test_cover_image_is_no_footage(tmp_path: Path, clip: Clips) -> None:
    sound, cover, path = tmp_path / "s.mp3", tmp_path / "c.png", tmp_path / "song.mp3"
    run_ffmpeg("-f", "lavfi", "-i", "sine=duration=1", sound)
    run_ffmpeg("-i", clip("h264_b"), "-frames:v", "1", cover)
    run_ffmpeg("-i", sound, "-i", cover, "-map", "0", "-map", "1", "-c", "copy", path)
    assert "no picture" in sentence(path)


def test_an_unknown_encoding(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "odd.mp4"
    path.write_bytes(clip("h264_b").read_bytes().replace(b"avc1", b"zzz9"))
    assert "cannot be decoded here" in sentence(path)


def test_a_pixel_shape_no_camera_has_is_ignored(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "stretched.mkv"
    run_ffmpeg("-i", clip("h264_b"), "-an", "-c:v", "mpeg4", "-vf", "setsar=1/200", path)
    with VideoFile.open(path) as video:
        assert (video.width, video.height) == (320, 180)


class _Surprised:
    """A container in which packets of an unknown stream turn up, as after a damaged table."""

    def __init__(self, real: InputContainer) -> None:
        self._real = real
        self._surprises = 3

    def demux(self, stream: Stream) -> Iterator[Packet]:
        for n, packet in enumerate(self._real.demux(stream)):
            if n == 7 and self._surprises:
                self._surprises -= 1
                raise IndexError("list index out of range")
            yield packet


def test_packets_of_an_unknown_stream_are_passed_over(clip: Clips) -> None:
    """Such a packet once ended opening with an error of the library."""
    with open_source(clip("ts")) as source:
        container: Any = _Surprised(source.container)
        got = [p for p in packets_of(container, source.stream) if p.size]
    assert len(got) == 60 - 3


def test_every_frame_has_the_size_of_the_first(tmp_path: Path) -> None:
    """A damaged sequence header changes the size in the middle; so do some recorders."""
    large, little, path = tmp_path / "l.mpg", tmp_path / "s.mpg", tmp_path / "both.mpg"
    for size, offset, out in (("320x180", "0", large), ("160x90", "1", little)):
        source = f"testsrc=size={size}:rate=25:duration=1"
        run_ffmpeg("-f", "lavfi", "-i", source, "-c:v", "mpeg2video", "-q:v", "3",
                   "-output_ts_offset", offset, "-f", "mpeg", out)  # fmt: skip
    path.write_bytes(large.read_bytes() + little.read_bytes())
    with VideoFile.open(path) as video:
        assert len(video.index) > 30
        for i in range(0, len(video.index), 4):
            assert video.frame_rgb(i).shape == (180, 320, 3)


@pytest.mark.skipif(os.geteuid() == 0, reason="needs a user who is not root")
def test_unreadable(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "locked.mp4"
    path.write_bytes(clip("h264_b").read_bytes())
    path.chmod(0)
    assert "permission" in sentence(path)


def test_a_name_that_looks_like_an_address_is_a_file(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "http:clip,a|b.mp4"
    path.write_bytes(clip("h264_b").read_bytes())
    with VideoFile.open(path) as video:
        assert len(video.index) == 60


# Opens, jumps and steps through every file named; prints one line a file.
_CHILD = """
import json, sys
from app.media.errors import MediaError
from app.media.source import open_source, packets_of
from app.media.video import VideoFile
for path in sys.argv[1:]:
    try:
        with VideoFile.open(path) as video:
            last = len(video.index) - 1
            for i in {0, last, last // 2, last // 3, max(0, last - 1)}:
                video.frame_bgra(i, 64, 64)
            for i in range(min(8, last + 1)):
                assert video.frame_rgb(i).shape == (video.height, video.width, 3)
        print(json.dumps("shown"), flush=True)
    except MediaError as error:
        print(json.dumps(str(error)), flush=True)
"""


def mutated(data: bytes, rng: random.Random) -> bytes:
    """Flip, zero, cut or repeat some bytes."""
    out = bytearray(data)
    kind = rng.randrange(4)
    if kind == 0:
        for _ in range(rng.choice([1, 10, 200])):
            out[rng.randrange(len(out))] = rng.randrange(256)
    elif kind == 1:
        at = rng.randrange(len(out))
        out[at : at + rng.choice([8, 64, 2000])] = bytes(rng.choice([8, 64, 2000]))
    elif kind == 2:
        del out[rng.randrange(1, len(out)) :]
    else:
        at = rng.randrange(len(out))
        out[at:at] = out[max(0, at - 500) : at]
    return bytes(out)


@pytest.mark.parametrize(
    "name", ["h264_b", "hevc", "vp9", "ts", "mkv", "avi_mpeg4", "trimmed", "av1"]
)
def test_damaged_bytes_never_crash(clip: Clips, tmp_path: Path, name: str) -> None:
    source = clip(name)
    rng = random.Random(name)
    data = source.read_bytes()
    paths = []
    for k in range(8):
        paths.append(tmp_path / f"{k}{source.suffix}")
        paths[-1].write_bytes(mutated(data, rng))
    done = subprocess.run(
        [sys.executable, "-c", _CHILD, *map(str, paths)], capture_output=True, check=False,
        timeout=HANGS_S, cwd=Path(__file__).resolve().parents[3],
    )  # fmt: skip
    said = [json.loads(line) for line in done.stdout.splitlines()]
    assert done.returncode == 0, done.stderr[-2000:].decode(errors="replace")
    assert len(said) == len(paths)
    assert all(line == "shown" or line.endswith(".") for line in said)
