"""A copy of an original keeps picture and sound and loses all that was written beside them."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from app.media.clean_copy import clean_name, copy_without_metadata
from app.media.errors import MediaError
from app.media.sound import read_sound
from app.media.video import VideoFile
from tests.helpers.clips import FFPROBE, needs_ffmpeg, run_ffmpeg

PLACE = "+47.1234+008.5678/"
WORDS = (b"47.1234", b"008.5678", b"Examplemaker", b"Examplephone", b"2031-05-17", b"Examplehaven")
# Type 5 of H.264's supplemental messages: anything a camera likes to write into the picture.
MESSAGE = "086f3693-b7b3-4f2c-9653-21492feee5b8+GPS 47.1234 008.5678 Examplephone"


@pytest.fixture(scope="module")
def phone_clip(clip: Callable[[str], Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A clip with a place, a device, a date, captions, chapters, a cover and hidden messages."""
    folder = tmp_path_factory.mktemp("phone")
    (folder / "where.srt").write_text(
        "1\n00:00:00,000 --> 00:00:01,000\nGPS(47.1234,008.5678,400)\n", "utf-8"
    )
    (folder / "chapters.txt").write_text(
        ";FFMETADATA1\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=0\nEND=900\ntitle=Examplehaven\n", "utf-8"
    )
    out = folder / "phone.mov"
    run_ffmpeg(
        "-i", clip("h264_b"), "-i", folder / "where.srt", "-i", folder / "chapters.txt",
        "-map", "0:v", "-map", "0:a", "-map", "1:s", "-map_chapters", "2", "-c:v", "copy",
        "-c:a", "copy", "-c:s", "mov_text", "-bsf:v", f"h264_metadata=sei_user_data={MESSAGE}",
        "-movflags", "use_metadata_tags", "-metadata", f"location={PLACE}",
        "-metadata", f"com.example.phone.location={PLACE}", "-metadata", "make=Examplemaker",
        "-metadata", "model=Examplephone", "-metadata", "creation_time=2031-05-17T08:09:10Z",
        "-metadata:s:v:0", "handler_name=Examplephone camera", "-metadata:s:a:0",
        "title=Examplehaven", "-metadata:s:v:0", "rotate=270", out,
    )  # fmt: skip
    return out


@needs_ffmpeg
def test_nothing_but_picture_and_sound_is_left(phone_clip: Path, tmp_path: Path) -> None:
    before = phone_clip.read_bytes()
    assert all(word in before for word in WORDS if word != b"2031-05-17")
    assert "2031-05-17" in str(probe(phone_clip)), "the clip carries what is looked for"
    out = tmp_path / f"original{clean_name(phone_clip)}"
    copy_without_metadata(phone_clip, out)
    assert phone_clip.read_bytes() == before
    after = out.read_bytes()
    assert [word for word in WORDS if word in after] == []
    said = probe(out)
    assert [s["codec_type"] for s in said["streams"]] == ["video", "audio"]
    assert said["chapters"] == []
    tags = [said["format"].get("tags", {}), *(s.get("tags", {}) for s in said["streams"])]
    plain = {"major_brand", "minor_version", "compatible_brands", "language", "handler_name"}
    assert {name for tag in tags for name in tag} <= plain | {"vendor_id", "encoder"}
    assert {t["handler_name"] for t in tags if "handler_name" in t} <= {
        "VideoHandler",
        "SoundHandler",
    }


@needs_ffmpeg
def test_picture_and_sound_are_the_same_upright_and_in_time(
    phone_clip: Path, tmp_path: Path
) -> None:
    out = tmp_path / "original.mov"
    copy_without_metadata(phone_clip, out)
    same_pictures(phone_clip, out)
    with VideoFile.open(out) as copy:
        assert copy.rotation_deg == 90, "a copy without its matrix would lie on its side"
    assert np.array_equal(read_sound(phone_clip, 0.1, 1.5, 48000), read_sound(out, 0.1, 1.5, 48000))


@needs_ffmpeg
@pytest.mark.parametrize(
    "name",
    ["hevc", "h264_vfr", "h264_refresh", "h264_open_gop", "start_mkv", "ts", "avi_h264",
     "avi_mpeg4", "mov", "vp9", "mpeg2_ps", "av1", "fragmented"],
)  # fmt: skip
def test_every_kind_of_footage_can_be_copied(
    name: str, clip: Callable[[str], Path], tmp_path: Path
) -> None:
    source = clip(name)
    out = tmp_path / f"copy{clean_name(source)}"
    copy_without_metadata(source, out)
    same_pictures(source, out)


def same_pictures(source: Path, out: Path) -> None:
    with VideoFile.open(source) as one, VideoFile.open(out) as other:
        assert len(other.index) == len(one.index)
        # Matroska counts in milliseconds.
        assert np.allclose(other.index.time_s, one.index.time_s, atol=1.1e-3)
        for i in (0, len(one.index) // 2, len(one.index) - 1):
            assert np.array_equal(one.frame_rgb(i), other.frame_rgb(i))


@needs_ffmpeg
def test_what_cannot_be_copied_in_order_is_refused(
    clip: Callable[[str], Path], tmp_path: Path
) -> None:
    with pytest.raises(MediaError, match="could not be copied without its metadata"):
        copy_without_metadata(clip("avi_h264_b"), tmp_path / "a.mkv")
    assert list(tmp_path.iterdir()) == []


@needs_ffmpeg
def test_stopped_or_refused_it_leaves_no_file(phone_clip: Path, tmp_path: Path) -> None:
    (tmp_path / "words.mp4").write_text("no recording", "utf-8")
    with pytest.raises(MediaError, match="not a recording"):
        copy_without_metadata(tmp_path / "words.mp4", tmp_path / "a.mp4")
    with pytest.raises(MediaError, match="stopped"):
        copy_without_metadata(phone_clip, tmp_path / "a.mov", cancelled=lambda: True)
    assert [p.name for p in tmp_path.iterdir()] == ["words.mp4"]


def probe(path: Path) -> dict[str, list[dict[str, str]]]:
    assert FFPROBE is not None
    done = subprocess.run(
        [FFPROBE, "-v", "error", "-show_format", "-show_streams", "-show_chapters", "-of", "json",
         path], capture_output=True, text=True, check=True,
    )  # fmt: skip
    said: dict[str, list[dict[str, str]]] = json.loads(done.stdout)
    return said
