"""Films as phones and messengers hand them on: bare streams, hidden frames, photos, side data."""

from __future__ import annotations

import re
import struct
from collections.abc import Callable, Iterator
from pathlib import Path

import av
import numpy as np
import pytest

from app.media import repack
from app.media.clean_copy import copy_without_metadata
from app.media.describe import usable
from app.media.encode import cut_clip
from app.media.errors import MediaError
from app.media.index import read_index
from app.media.video import VideoFile, first_picture
from tests.helpers.clips import needs_ffmpeg, number_in, run_ffmpeg

Clips = Callable[[str], Path]
pytestmark = needs_ffmpeg


X265 = ("-c:v", "libx265", "-preset", "ultrafast", "-x265-params")
OPEN = "log-level=none:keyint=12:min-keyint=12:bframes=3:open-gop=1"


@pytest.mark.parametrize(
    ("suffix", "how"),
    [
        (".h264", ("-c", "copy")),
        (".h265", (*X265, "log-level=none:keyint=12:bframes=3")),
        (".hevc", (*X265, OPEN, "-pix_fmt", "yuv420p10le")),
    ],
)
def test_a_bare_stream_opens_at_a_rate_that_is_said(
    clip: Clips, tmp_path: Path, suffix: str, how: tuple[str, ...]
) -> None:
    path = tmp_path / f"film{suffix}"
    run_ffmpeg("-i", clip("h264_b"), "-an", *how, path)
    with VideoFile.open(path) as video:
        assert len(video.index) == 60
        np.testing.assert_allclose(video.index.time_s, np.arange(60) / 30, atol=1e-6)
        assert video.duration_s == pytest.approx(2.0, abs=1e-6)
        for i in (0, 59, 13, 14, 37, 1):
            assert number_in(video.frame_rgb(i)) == i
            assert not video.is_damaged(i)
        assert video.assumed_fps == pytest.approx(30)
        assert "holds no times" in usable(video)[0] and "30 frames per second" in usable(video)[0]
        with video.another() as other:
            assert number_in(other.frame_rgb(22)) == 22
    cut_clip(path, 0.5, 1.0, tmp_path / "clip.mp4")
    assert first_picture(path, 320, 180) is not None
    assert not list(tmp_path.glob("strokeside-*"))


def test_without_a_rate_in_it_the_usual_one_is_assumed(tmp_path: Path) -> None:
    path = tmp_path / "film.h265"
    run_ffmpeg("-f", "lavfi", "-i", "testsrc2=size=160x90:rate=50:duration=1", "-c:v", "libx265",
               "-x265-params", "log-level=none:vui-timing-info=0", path)  # fmt: skip
    with VideoFile.open(path) as video:
        assert len(video.index) == 50 and video.fps == pytest.approx(25)
        assert "25 frames per second are assumed" in usable(video)[0]


def test_other_films_rest_on_no_assumption(clip: Clips) -> None:
    for name in ("h264_b", "ts", "mpeg2_ps"):
        with VideoFile.open(clip(name)) as video:
            assert video.assumed_fps is None and "assumed" not in " ".join(usable(video))


def test_a_bare_stream_that_cannot_be_copied_says_so(
    clip: Clips, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "film.h264"
    run_ffmpeg("-i", clip("h264_b"), "-an", "-c", "copy", path)

    def full() -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(repack, "_private_file", full)
    with pytest.raises(MediaError, match="bare stream of pictures without their times"):
        VideoFile.open(path)


def test_a_bare_stream_out_of_order_is_not_handed_on_in_a_wrong_order(
    clip: Clips, tmp_path: Path
) -> None:
    path = tmp_path / "film.h264"
    run_ffmpeg("-i", clip("h264_b"), "-an", "-c", "copy", path)
    with pytest.raises(MediaError, match="a clip of it can be sent"):
        copy_without_metadata(path, tmp_path / "copy.mkv")
    assert not (tmp_path / "copy.mkv").exists()


def parts_of(packet: bytes) -> list[bytes]:
    """The frames of a VP9 packet (VP9 bitstream specification, annex B)."""
    mark = packet[-1]
    if mark & 0xE0 != 0xC0:
        return [packet]
    count, width = (mark & 7) + 1, ((mark >> 3) & 3) + 1
    table = packet[-1 - count * width : -1]
    sizes = [int.from_bytes(table[k * width : (k + 1) * width], "little") for k in range(count)]
    return [packet[sum(sizes[:k]) : sum(sizes[: k + 1])] for k in range(count)]


@pytest.fixture(scope="module")
def with_hidden(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """VP9 whose encoder made helpers that are never shown, packed with the frame before."""
    folder = tmp_path_factory.mktemp("vp9")
    film = ("-f", "lavfi", "-i", "testsrc2=size=160x90:rate=30:duration=2,noise=alls=10:allf=t",
            "-c:v", "libvpx-vp9", "-deadline", "good", "-cpu-used", "4", "-auto-alt-ref", "1",
            "-lag-in-frames", "25", "-b:v", "200k", "-passlogfile", folder / "log")  # fmt: skip
    run_ffmpeg(*film, "-pass", "1", "-f", "null", "-")
    run_ffmpeg(*film, "-pass", "2", folder / "whole.webm")
    return folder / "whole.webm"


def apart(path: Path) -> Iterator[tuple[int, bytes]]:
    """Time in ms and bytes of each frame, a hidden one 1 ms before the one it came with."""
    with av.open(str(path)) as container:
        for packet in container.demux(video=0):
            if packet.size and packet.pts is not None:
                parts = parts_of(bytes(packet))
                for k, part in enumerate(parts):
                    yield packet.pts - (len(parts) - 1 - k), part


def test_hidden_frames_are_no_frames(with_hidden: Path, tmp_path: Path) -> None:
    frames = list(apart(with_hidden))
    assert len(frames) > 60  # helpers there are
    path = tmp_path / "apart.ivf"
    head = struct.pack("<4sHH4sHHIIII", b"DKIF", 0, 32, b"VP90", 160, 90, 1000, 1, len(frames), 0)
    path.write_bytes(
        head + b"".join(struct.pack("<IQ", len(data), pts) + data for pts, data in frames)
    )
    whole = read_index(with_hidden)
    assert len(whole) == 60
    with VideoFile.open(path) as video, VideoFile.open(with_hidden) as packed:
        np.testing.assert_array_equal(video.index.time_s, whole.time_s)
        for i in (0, 40, 17, 59):
            np.testing.assert_array_equal(video.frame_rgb(i), packed.frame_rgb(i))
            assert not video.is_damaged(i)


def test_side_data_the_library_has_no_name_for_costs_nothing(clip: Clips, tmp_path: Path) -> None:
    # Spatial film carries such data; so do pictures with a camera's own notes in each.
    raw = run_ffmpeg("-i", clip("avi_mjpeg"), "-c", "copy", "-f", "mjpeg", "-")
    notes = b"Exif\0\0" + b"II*\0\x08\0\0\0" + struct.pack("<HHHIII", 1, 0x0112, 3, 1, 1, 0)
    noted = raw.replace(
        b"\xff\xd8\xff", b"\xff\xd8\xff\xe1" + struct.pack(">H", len(notes) + 2) + notes + b"\xff"
    )
    stream, path = tmp_path / "noted.mjpeg", tmp_path / "noted.mov"
    stream.write_bytes(noted)
    run_ffmpeg("-f", "mjpeg", "-framerate", "30", "-i", stream, "-c", "copy", path)
    with av.open(str(path)) as container, pytest.raises(ValueError, match="not a valid"):
        next(container.decode(video=0)).side_data.get("DISPLAYMATRIX")
    with VideoFile.open(path) as video:
        assert len(video.index) == 60 and video.rotation_deg == 0
        assert number_in(video.frame_rgb(44)) == 44


@pytest.mark.parametrize("brand", [b"heic", b"heix", b"mif1", b"avif"])
def test_the_photo_of_a_live_photo_is_told_from_its_film(tmp_path: Path, brand: bytes) -> None:
    path = tmp_path / "IMG_0001.HEIC"
    path.write_bytes(struct.pack(">I4s4sI4s", 20, b"ftyp", brand, 0, brand) + bytes(4000))
    with pytest.raises(MediaError, match=re.escape("IMG_0001.HEIC is a photo, not a film.")):
        VideoFile.open(path)


def test_real_photos_are_told_from_films(tmp_path: Path) -> None:
    picture = ("-f", "lavfi", "-i", "testsrc2=size=64x64:rate=1:duration=1", "-frames:v", "1")
    for name, how in (
        ("a.jpg", ()),
        ("b.png", ()),
        ("c.avif", ("-c:v", "libaom-av1", "-crf", "40")),
    ):
        run_ffmpeg(*picture, *how, tmp_path / name)
        with pytest.raises(MediaError, match=f"{name} is a photo, not a film"):
            VideoFile.open(tmp_path / name)
