"""Clips that take a film's own packets between edges that are encoded."""

from __future__ import annotations

import base64
import contextlib
import subprocess
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Browser

from app.media.clip_frames import ClipFrames
from app.media.encode import ClipLook, cut_open
from app.media.h264.packets import NotCopied, ParameterSets, pictures_of, sets_of
from app.media.laid import Laid
from app.media.orientation import Turn
from app.media.reel import open_reel
from app.media.stored import stored_between
from app.media.veil import Patch
from app.media.video import VideoFile
from tests.helpers.clips import FFMPEG, number_in

Clips = Callable[[str], Path]
LOOK = ClipLook(4320, as_stored=True)
_TAGS = "colour_primaries=1:transfer_characteristics=1:matrix_coefficients=1"
_SECRET = "at-home-47.05N"
_NO_NAME = "086f3693-b7b3-4f2c-9653-21492feee5b8"
START_S, END_S, FIRST, LAST = 0.3 + 1e-3, 1.74, 9, 52


def tagged(source: Path, out: Path, tags: str = f"{_TAGS}:video_full_range_flag=0") -> Path:
    """The same packets that say of their colours what a phone says, and where it was."""
    assert FFMPEG is not None
    said = f"h264_metadata={tags}:sei_user_data={_NO_NAME}+{_SECRET}"
    subprocess.run(
        [FFMPEG, "-v", "error", "-y", "-i", str(source), "-c", "copy", "-bsf:v", said, str(out)],
        check=True,
    )
    return out


@pytest.fixture(scope="module")
def film(clip: Clips, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tagged(clip("h264_b"), tmp_path_factory.mktemp("splice") / "film.mp4")


@pytest.fixture(scope="module")
def spliced(film: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("splice") / "clip.mp4"
    with VideoFile.open(film) as video:
        before = video.frames_decoded
        cut_open(video, START_S, END_S, out, LOOK)
        # Those between the edges are not decoded, but for the way to the last ones.
        assert video.frames_decoded - before < (LAST - FIRST) / 2 + 8
    return out


def pixels(path: Path) -> list[np.ndarray]:
    with av.open(str(path)) as file:
        frames = list(file.decode(video=0))
    assert not any(frame.is_corrupt for frame in frames)
    return [frame.to_ndarray() for frame in frames]


def test_every_frame_is_there_at_its_time(film: Path, spliced: Path) -> None:
    with VideoFile.open(film) as source, VideoFile.open(spliced) as made:
        numbers = [number_in(made.frame_rgb(i)) for i in range(len(made.index))]
        assert numbers == list(range(FIRST, LAST + 1))
        expected = np.maximum(source.index.time_s[FIRST : LAST + 1] - START_S, 0.0)
        np.testing.assert_allclose(made.index.time_s, expected - expected[0], atol=1.2e-5)
        assert made.has_sound
    with av.open(str(spliced)) as file:
        (stream,) = file.streams.video
        assert stream.duration is not None and stream.time_base is not None
        assert float(stream.duration * stream.time_base) == pytest.approx(END_S - START_S, abs=1e-3)


def test_what_is_taken_is_the_film_itself_bit_by_bit(film: Path, spliced: Path) -> None:
    original, made = pixels(film), pixels(spliced)
    same = [bool(np.array_equal(original[FIRST + i], image)) for i, image in enumerate(made)]
    first, last = same.index(True), len(same) - same[::-1].index(True)
    assert all(same[first:last])
    with VideoFile.open(film) as video:
        begins = np.flatnonzero(video.index.key[FIRST:])[0]
    assert first == begins, "it begins with the first picture that needs none before it"
    assert len(same) - last <= 4, "and ends a few frames before the end"


def test_another_decoder_finds_nothing_amiss(spliced: Path) -> None:
    assert FFMPEG is not None
    for threads in ("1", "4"):
        done = subprocess.run(
            [FFMPEG, "-v", "warning", "-threads", threads, "-i", str(spliced), "-f", "framemd5",
             "-an", "-"], capture_output=True, check=True, text=True,
        )  # fmt: skip
        assert done.stderr == ""
        assert len([r for r in done.stdout.splitlines() if r[:1] == "0"]) == LAST - FIRST + 1


def test_decoding_can_begin_at_each_picture_that_says_so(spliced: Path) -> None:
    with VideoFile.open(spliced) as made:
        keys = np.flatnonzero(made.index.key)
        assert len(keys) >= 4
        for i in keys[::-1]:
            assert number_in(made.frame_rgb(int(i))) == FIRST + i


def test_nothing_a_camera_wrote_beside_the_picture_goes_along(film: Path, spliced: Path) -> None:
    assert _SECRET.encode() in film.read_bytes()
    assert _SECRET.encode() not in spliced.read_bytes()
    assert b"x264" not in spliced.read_bytes()


def test_the_same_clip_is_the_same_bytes(film: Path, spliced: Path, tmp_path: Path) -> None:
    with VideoFile.open(film) as video:
        cut_open(video, START_S, END_S, tmp_path / "again.mp4", LOOK)
    assert (tmp_path / "again.mp4").read_bytes() == spliced.read_bytes()


def taken(video: VideoFile, look: ClipLook, first: int = FIRST, last: int = LAST) -> range | None:
    frames = ClipFrames(
        video, (video.width, video.height), look.turn, look.lift, look.paint, look.painted
    )
    found = stored_between(video, first, last, frames)
    return None if found is None else found.frames


def test_only_where_nothing_is_done_to_the_picture(film: Path) -> None:
    paint = lambda image, _at_s: image  # noqa: E731
    with VideoFile.open(film) as video:
        assert taken(video, LOOK) is not None
        assert taken(video, replace(LOOK, lift=0.2)) is None
        assert taken(video, replace(LOOK, turn=Turn(2))) is None
        assert taken(video, replace(LOOK, turn=Turn(0, True))) is None
        assert taken(video, replace(LOOK, paint=paint)) is None
        assert taken(video, replace(LOOK, paint=paint, painted=lambda s: s > 1.7)) is None
        assert taken(video, replace(LOOK, paint=paint, painted=lambda s: s > 1.8)) is not None
        smaller = ClipFrames(video, (160, 90))
        assert stored_between(video, FIRST, LAST, smaller) is None
        assert taken(video, LOOK, 13, 23) is None, "nothing begins there"
    veil = lambda at_s: (Patch(9.0, 9.0, 9.0, 9.0),) if 1.0 < at_s < 1.1 else ()  # noqa: E731
    with VideoFile.open(film, veil=veil) as hiding:
        assert taken(hiding, LOOK) is None
        assert taken(hiding, LOOK, 0, 28) is not None


@pytest.mark.parametrize(
    "name", ["h264_open_gop", "h264_refresh", "hevc", "rot90", "avi_h264", "mov"]
)
def test_films_stored_in_other_ways_are_encoded(clip: Clips, name: str, tmp_path: Path) -> None:
    path = clip(name)
    if name in ("h264_open_gop", "h264_refresh"):
        path = tagged(path, tmp_path / f"{name}.mp4")
    with VideoFile.open(path) as video:
        last = len(video.index) - 1
        found = taken(video, LOOK, 1, last)
        assert found is None
        cut_open(video, 0.2, 1.2, tmp_path / "clip.mp4", LOOK)
    with VideoFile.open(tmp_path / "clip.mp4") as made:
        assert [number_in(made.frame_rgb(i)) for i in range(30)] == list(range(6, 36))


@pytest.mark.parametrize("said", [("-aspect", "2.4"), ("-c:v", "libx264", "-qp", "0", "-g", "12")])
def test_pixels_that_are_not_square_and_lossless_films_are_encoded(
    film: Path, said: tuple[str, ...], tmp_path: Path
) -> None:
    assert FFMPEG is not None
    other = tmp_path / "other.mp4"
    command = [FFMPEG, "-v", "error", "-i", str(film), "-c", "copy", *said, str(other)]
    subprocess.run(command, check=True)
    path = tagged(other, tmp_path / "tagged.mp4")
    with VideoFile.open(path) as video:
        assert taken(video, LOOK) is None
        cut_open(video, START_S, END_S, tmp_path / "clip.mp4", LOOK)
    with VideoFile.open(tmp_path / "clip.mp4") as made:
        assert {made.frame_rgb(i).shape for i in (0, 10, 20)} == {(made.height, made.width, 3)}
        shown = [number_in(made.frame_rgb(i)) for i in range(len(made.index))]
        assert shown == list(range(FIRST, LAST + 1))


def test_of_several_films_the_one_that_shows_it(film: Path, tmp_path: Path) -> None:
    laid = (Laid(film, 0.0, None), Laid(film, 2.1, None))
    with open_reel(laid) as reel:
        assert taken(reel, LOOK, 40, 80) is None, "a seam lies between"
        found = taken(reel, LOOK, 65, 100)
        assert found is not None and reel.index.key[found.start] and len(found) > 25
        cut_open(reel, 2.35, 3.3, tmp_path / "clip.mp4", LOOK)
    with VideoFile.open(tmp_path / "clip.mp4") as made:
        first = number_in(made.frame_rgb(0))
        shown = [number_in(made.frame_rgb(i)) for i in range(len(made.index))]
        assert shown == list(range(first, first + len(shown)))
        assert first == 7


@given(st.binary(max_size=80))
def test_damaged_bytes_are_refused_and_nothing_else_happens(data: bytes) -> None:
    for read in (sets_of, lambda d: pictures_of(d, ParameterSets((b"g1",), (b"h1",), 4))):
        with contextlib.suppress(NotCopied):
            read(data)


def test_sets_that_leave_no_number_free_are_refused() -> None:
    numbers = [format(n + 1, "b") for n in range(32)]
    coded = ["0" * (len(n) - 1) + n for n in numbers]  # unsigned Exp-Golomb
    pps = tuple(b"\x68" + int(c.ljust(16, "1"), 2).to_bytes(2) for c in coded)
    sps = (b"\x67\x64\x00\x1f\xff",)
    assert ParameterSets(sps, pps[:31], 4).free_id() == 31
    with pytest.raises(NotCopied):
        ParameterSets(sps, pps, 4).free_id()


def test_other_parameter_sets_on_the_way_are_refused() -> None:
    sets = ParameterSets((b"\x67abc",), (b"\x68d",), 4)
    same = b"\x00\x00\x00\x04\x67abc\x00\x00\x00\x03\x65xy"
    assert pictures_of(same, sets) == b"\x00\x00\x00\x01\x65xy"
    with pytest.raises(NotCopied):
        pictures_of(same.replace(b"abc", b"abd"), sets)


_SEEK = """async ([data, times]) => {
  const video = document.createElement('video');
  const bytes = Uint8Array.from(atob(data), c => c.charCodeAt(0));
  video.src = URL.createObjectURL(new Blob([bytes], {type: 'video/mp4'}));
  video.muted = true;
  await new Promise((done, failed) => { video.onloadeddata = done; video.onerror = failed; });
  const canvas = document.createElement('canvas');
  canvas.width = video.videoWidth; canvas.height = video.videoHeight;
  const drawn = canvas.getContext('2d', {willReadFrequently: true});
  const rows = [];
  for (const at of times) {
    await new Promise(done => { video.onseeked = done; video.currentTime = at; });
    drawn.drawImage(video, 0, 0);
    rows.push(Array.from(drawn.getImageData(0, 15, canvas.width, 1).data));
  }
  return [video.duration, rows];
}"""


def test_a_browser_shows_each_frame(browser: Browser, spliced: Path) -> None:
    with VideoFile.open(spliced) as made:
        times = (made.index.time_s + 0.012).tolist()
    page = browser.new_page()
    duration_s, rows = page.evaluate(
        _SEEK, [base64.b64encode(spliced.read_bytes()).decode(), times]
    )
    page.close()
    assert duration_s == pytest.approx(END_S - START_S, abs=0.05)
    shown = [number_in(np.tile(np.array(r, np.uint8).reshape(1, -1, 4), (180, 1, 1))) for r in rows]
    assert shown == list(range(FIRST, LAST + 1))
