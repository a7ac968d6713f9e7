from __future__ import annotations

import struct
from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest

from app.media.errors import MediaError
from app.media.opencv import opencv
from app.media.orientation import Turn
from app.media.video import VideoFile
from tests.helpers.clips import number_in, run_ffmpeg
from tests.helpers.command_line import answer, run
from tests.helpers.stills import write_still

Clips = Callable[[str], Path]


def pixels(path: Path, width: int, height: int) -> np.ndarray:
    raw = run_ffmpeg("-i", path, "-pix_fmt", "rgb24", "-f", "rawvideo", "-")
    return np.frombuffer(raw, np.uint8).reshape(height, width, 3)


def test_the_frame_on_screen_is_written(clip: Clips, tmp_path: Path) -> None:
    out = tmp_path / "still.png"
    assert write_still(clip("rot90"), 0.749, out) == 22
    picture = pixels(out, 320, 180)
    assert number_in(picture) == 22
    expected = run_ffmpeg("-i", clip("rot90"), "-vf", "select=eq(n\\,22)", "-frames:v", "1",
                          "-pix_fmt", "rgb24", "-f", "rawvideo", "-")  # fmt: skip
    np.testing.assert_array_equal(picture, np.frombuffer(expected, np.uint8).reshape(180, 320, 3))


def test_turned_and_mirrored_on_request(clip: Clips, tmp_path: Path) -> None:
    plain, turned = tmp_path / "a.png", tmp_path / "b.png"
    write_still(clip("h264_b"), 1.0, plain)
    write_still(clip("h264_b"), 1.0, turned, Turn(1, True))
    expected = np.rot90(pixels(plain, 320, 180), -1)[:, ::-1]
    np.testing.assert_array_equal(pixels(turned, 180, 320), expected)


def test_nothing_private_is_in_it(clip: Clips, tmp_path: Path) -> None:
    out = tmp_path / "still.png"
    write_still(clip("h264_b"), 0.0, out)
    data, at, kinds = out.read_bytes(), 8, set()
    while at < len(data):  # PNG (ISO/IEC 15948): length, kind, data, check of each chunk
        (length,) = struct.unpack(">I", data[at : at + 4])
        kinds.add(data[at + 4 : at + 8])
        at += 12 + length
    assert kinds == {b"IHDR", b"IDAT", b"IEND"}


def test_an_unwritable_target_says_so_and_leaves_nothing(clip: Clips, tmp_path: Path) -> None:
    with pytest.raises(MediaError, match="cannot be written: no such file"):
        write_still(clip("h264_b"), 0.0, tmp_path / "nowhere" / "still.png")
    (tmp_path / "taken.png").mkdir()
    with pytest.raises(MediaError, match="was not written"):
        write_still(clip("h264_b"), 0.0, tmp_path / "taken.png")
    assert [p.name for p in tmp_path.iterdir()] == ["taken.png"]


def test_opencv_leaves_no_trace_in_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    opencv()
    assert "QT_QPA_FONTDIR" not in os.environ
    monkeypatch.setenv("QT_QPA_FONTDIR", "/fonts/of/the/user")
    opencv()
    assert os.environ["QT_QPA_FONTDIR"] == "/fonts/of/the/user"


def hit_film(clip: Clips, folder: Path) -> Path:
    """A film with three packets of one frame wiped out."""
    film = folder / "hit.ts"
    run_ffmpeg("-i", clip("h264_b"), "-an", "-c", "copy", film)
    with av.open(str(film)) as container:
        hit = [p.pos for p in container.demux(video=0) if p.pos is not None][14]
    data = bytearray(film.read_bytes())
    at = hit + 188
    for packet in range(at, at + 3 * 188, 188):  # the payload, not the head, of three packets
        data[packet + 40 : packet + 188] = bytes(148)
    film.write_bytes(data)
    return film


def test_a_still_from_a_damaged_place_says_so(clip: Clips, tmp_path: Path) -> None:
    film = hit_film(clip, tmp_path)
    said = []
    for i in range(60):  # each opened anew: what was decoded before must not matter
        with VideoFile.open(film) as video:
            number = video.index.at(i / 30 + 0.01)
            video.frame_rgb(number)
            said.append(video.damage_at(number))
    wrong = [k for k, sentence in enumerate(said) if sentence is not None]
    assert wrong and min(wrong) >= 12 and max(wrong) < 26  # its group of twelve, no other
    assert all("damaged at" in (said[k] or "") for k in wrong)
    truth = run_ffmpeg("-i", clip("h264_b"), "-pix_fmt", "rgb24", "-f", "rawvideo", "-")
    frames = np.frombuffer(truth, np.uint8).reshape(-1, 180, 320, 3)
    with VideoFile.open(film) as video:
        for i in range(60):
            off = np.abs(video.frame_rgb(i).astype(int) - frames[i]).mean()
            assert off < 1 or video.damage_at(i) is not None


def test_the_command_says_so_too(clip: Clips, tmp_path: Path) -> None:
    film, out = hit_film(clip, tmp_path), tmp_path / "still.png"
    with VideoFile.open(film) as video:
        wrong = next(i for i in range(60) if video.frame_rgb(i).any() and video.damage_at(i))
    at = ("--at", f"{wrong / 30 + 0.01:.3f}", "-o", out)
    said = answer("still", film, *at)
    assert said["index"] == wrong and "damaged at" in said["damage"]
    assert said["damage"] in run("still", film, *at)[1]
    assert answer("still", film, "--at", 0.0, "-o", out)["damage"] is None
