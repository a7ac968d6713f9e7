"""Every frame at its own time with its own pixels, against the ffprobe and ffmpeg programs."""

from __future__ import annotations

import itertools
import json
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from app.media.errors import MediaError
from app.media.index import read_index
from app.media.video import VideoFile, first_picture
from tests.helpers.clips import FFPROBE, RECIPES, needs_ffmpeg, number_in, run_ffmpeg

Clips = Callable[[str], Path]

# ffprobe gives these no presentation times, or guesses; their frames come at a constant rate.
CONSTANT = {"avi_h264_b", "avi_mpeg4_b", "mpeg2_ps"}
pytestmark = needs_ffmpeg


def probed_times(path: Path) -> np.ndarray:
    assert FFPROBE is not None
    command = [FFPROBE, "-v", "error", "-select_streams", "v:0", "-show_entries",
               "frame=best_effort_timestamp_time", "-of", "json", str(path)]  # fmt: skip
    frames = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["frames"]
    return np.array([float(f["best_effort_timestamp_time"]) for f in frames])


def decoded(path: Path, width: int, height: int) -> np.ndarray:
    raw = run_ffmpeg("-i", path, "-map", "0:v:0", "-vsync", "passthrough", "-pix_fmt", "rgb24",
                     "-f", "rawvideo", "-")  # fmt: skip
    return np.frombuffer(raw, np.uint8).reshape(-1, height, width, 3)


@pytest.mark.parametrize("name", RECIPES)
def test_times_equal_ffprobe(clip: Clips, name: str) -> None:
    path = clip(name)
    index = read_index(path)
    if name in CONSTANT:
        expected = np.arange(RECIPES[name].count) / RECIPES[name].fps
    else:
        expected = probed_times(path)
        expected -= expected[0]
    assert len(index) == len(expected)
    # ffprobe prints microseconds.
    np.testing.assert_allclose(index.time_s, expected, rtol=0, atol=1.1e-6)


@pytest.mark.parametrize("name", RECIPES)
def test_pixels_equal_ffmpeg_in_any_order(clip: Clips, name: str) -> None:
    path = clip(name)
    with VideoFile.open(path) as video:
        reference = decoded(path, video.width, video.height)
        assert len(video.index) == len(reference)
        order = np.random.default_rng(7).permutation(len(reference))[:40]
        for i in order:
            image = video.frame_rgb(int(i))
            worst = int(np.abs(image.astype(int) - reference[i]).max())
            # A gradual refresh promises only a close picture where decoding starts inside.
            assert worst <= (30 if name == "h264_refresh" else 0), (i, worst)
            assert not video.is_damaged(int(i))


@pytest.mark.parametrize("name", RECIPES)
def test_numbers_in_the_pixels_follow_each_other(clip: Clips, name: str) -> None:
    with VideoFile.open(clip(name)) as video:
        # Each frame further back is decoded from its key frame on, so not all of them.
        step = 3 if len(video.index) <= 60 else 5
        back = range(len(video.index))[::-step]
        backwards = [number_in(video.frame_rgb(i)) for i in back]
        small = [number_in(video.frame_bgra(i, 200, 120)) for i in range(len(video.index))]
    first = small[0]
    assert small == list(range(first, RECIPES[name].count))
    assert backwards == small[::-step]
    assert first == (17 if name == "trimmed" else 0)  # 0.55 s into 30 per second


@pytest.mark.parametrize(("name", "turn"), [("rot90", 90), ("rot180", 180), ("rot270", 270)])
def test_turned_clips_stand_upright(clip: Clips, name: str, turn: int) -> None:
    with VideoFile.open(clip(name)) as video:
        assert (video.rotation_deg, video.mirrored) == (turn, False)
        assert (video.width, video.height) == (320, 180)
        corner = video.frame_rgb(3)[-10, 10]
        assert corner[0] > 150 and corner[1] < 100  # the red one belongs at the lower left


def test_frames_in_order_need_one_seek(clip: Clips) -> None:
    with VideoFile.open(clip("h264_long")) as video:
        video.frame_bgra(0, 160, 90)
        before = video.seeks
        for i in range(len(video.index)):
            video.frame_bgra(i, 160, 90)
        assert video.seeks == before


def test_display_picture_fits_and_is_contiguous(clip: Clips) -> None:
    with VideoFile.open(clip("rot90")) as video:
        image = video.frame_bgra(5, 100, 100)
        assert image.shape == (56, 100, 4)
        assert image.flags.c_contiguous and image.dtype == np.uint8
        assert (image[..., 3] == 255).all()
        assert video.frame_bgra(5, 4000, 4000).shape == (180, 320, 4)  # never enlarged


def test_square_pixels(clip: Clips, tmp_path: Path) -> None:
    path = tmp_path / "wide.mp4"
    run_ffmpeg("-i", clip("h264_b"), "-c:v", "libx264", "-vf", "setsar=4/3", "-an", path)
    with VideoFile.open(path) as video:
        assert (video.width, video.height) == (427, 180)
        assert video.frame_rgb(9).shape == (180, 427, 3)
        assert number_in(video.frame_bgra(9, 200, 200)) == 9


def test_facts(clip: Clips) -> None:
    with VideoFile.open(clip("h264_b")) as video:
        assert video.fps == pytest.approx(30)
        assert video.duration_s == pytest.approx(2.0, abs=1e-6)
        assert video.has_sound and video.codec == "h264"
        assert (
            video.index.key[0] and video.index.key.sum() >= 5
        )  # at least one every twelve of sixty
        with pytest.raises(IndexError):
            video.frame_rgb(60)
    with VideoFile.open(clip("mkv")) as video:
        assert video.fps == pytest.approx(30, abs=0.05)  # its times are whole milliseconds
        assert not video.has_sound


def test_a_cut_open_group_shows_only_what_can_be_decoded(clip: Clips, tmp_path: Path) -> None:
    # Without its first group the recording starts with a key frame and frames shown before it.
    whole = clip("ts_open_gop")
    path = tmp_path / "cut.ts"
    run_ffmpeg("-i", whole, "-c", "copy", "-bsf:v", "noise=drop=lt(n\\,12)", path)
    with VideoFile.open(path) as video:
        reference = decoded(path, 320, 180)
        numbers = [number_in(image) for image in reference]
        assert numbers[0] > 5  # the cut worked
        assert [number_in(video.frame_rgb(i)) for i in range(len(video.index))] == numbers


def test_a_bad_stretch_is_marked_and_passed(clip: Clips, tmp_path: Path) -> None:
    data = bytearray(clip("h264_long").read_bytes())
    middle = data.find(b"mdat") + (len(data) - data.find(b"mdat")) // 3
    data[middle : middle + 1500] = bytes(1500)
    path = tmp_path / "hurt.mp4"
    path.write_bytes(data)
    with VideoFile.open(path) as video:
        assert len(video.index) == 200
        shown = [video.frame_bgra(i, 160, 90) for i in range(200)]
        assert all(image.shape == (90, 160, 4) for image in shown)
        assert number_in(shown[5]) == 5
        assert 0 < sum(video.is_damaged(i) for i in range(200)) < 200


def test_repacked_copy_is_removed(clip: Clips) -> None:
    with VideoFile.open(clip("ts")) as video:
        copy = video.temporary
        assert copy is not None and copy.exists()
    assert not copy.exists()


MATRICES = ("bt709", "smpte170m", "bt2020nc", None)
LIMITS = ("tv", "pc")
DEPTHS = (8, 10)


def colour_chart() -> np.ndarray:
    """(5, 25, 3): every mixture of five levels of red, green and blue."""
    levels = np.array([0, 64, 128, 192, 255], np.uint8)
    return np.stack(np.meshgrid(levels, levels, levels), axis=-1).reshape(5, 25, 3)


@pytest.fixture(scope="module")
def charts(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """The chart in two frames by matrix, limits and depth; to start the program takes longest."""
    folder = tmp_path_factory.mktemp("charts")

    def path(matrix: str | None, limits: str, depth: int) -> Path:
        return folder / f"{matrix}_{limits}_{depth}.mp4"

    outputs: list[str | Path] = []
    for matrix, limits, depth in itertools.product(MATRICES, LIMITS, DEPTHS):
        name = {"bt709": "bt709", "bt2020nc": "bt2020"}.get(matrix or "", "bt601")
        encoder = ["libx264", "-qp", "1"] if depth == 8 else ["libx265", "-x265-params",
                                                              "log-level=none:qp=1"]  # fmt: skip
        outputs += [
            "-vf", f"scale=out_color_matrix={name}:out_range={limits}", "-c:v", *encoder,
            "-pix_fmt", "yuv420p" if depth == 8 else "yuv420p10le", "-color_range", limits,
            *(["-colorspace", matrix] if matrix else []), path(matrix, limits, depth),
        ]  # fmt: skip
    image = colour_chart().repeat(16, 0).repeat(16, 1)
    run_ffmpeg("-f", "rawvideo", "-pix_fmt", "rgb24", "-s", "400x80", "-r", "25", "-i", "-",
               *outputs, stdin=image.tobytes() * 2)  # fmt: skip
    return path


@pytest.mark.parametrize("matrix", MATRICES)
@pytest.mark.parametrize("limits", LIMITS)
@pytest.mark.parametrize("depth", DEPTHS)
def test_colours_are_those_of_ffmpeg(
    charts: Callable[..., Path], matrix: str | None, limits: str, depth: int
) -> None:
    path = charts(matrix, limits, depth)
    patches = np.s_[8::16, 8::16]
    reference = decoded(path, 400, 80)[0][patches].astype(int)
    assert np.abs(reference - colour_chart()).max() <= 4  # the reference itself is right
    with VideoFile.open(path) as video:
        full = video.frame_rgb(0)[patches]
        shown = video.frame_bgra(0, 400, 80)[..., 2::-1][patches]
        half = video.frame_bgra(0, 200, 40)[..., 2::-1][4::8, 4::8]
    for picture in (full, shown, half):
        assert np.abs(picture - reference).max() <= 3


WIDTHS = (146, 149, 154, 157, 161)
HEIGHTS = (97, 98)
PIXELS = ("yuv420p", "yuv420p10le")


@pytest.fixture(scope="module")
def greys(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """Two grey frames by width, height and pixels, made by one run of the program."""
    folder = tmp_path_factory.mktemp("greys")

    def path(width: int, height: int, pixels: str) -> Path:
        return folder / f"{width}_{height}_{pixels}.mkv"

    inputs: list[str] = []
    outputs: list[str | Path] = []
    for i, (width, height, pixels) in enumerate(itertools.product(WIDTHS, HEIGHTS, PIXELS)):
        inputs += ["-f", "lavfi", "-i", f"color=gray:size={width}x{height}:rate=5"]
        outputs += ["-map", f"{i}:v", "-frames:v", "2", "-c:v", "ffv1", "-pix_fmt", pixels,
                    path(width, height, pixels)]  # fmt: skip
    run_ffmpeg(*inputs, *outputs)
    return path


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("height", HEIGHTS)
@pytest.mark.parametrize("pixels", PIXELS)
def test_no_size_leaves_columns_unpainted(
    greys: Callable[..., Path], width: int, height: int, pixels: str
) -> None:
    # The library's quick conversion stops short of the last columns of some widths.
    with VideoFile.open(greys(width, height, pixels)) as video:
        # A colour is of two columns and two rows; half of one is not shown.
        assert (video.width, video.height) == (width // 2 * 2, height // 2 * 2)
        pictures = [video.frame_rgb(0), video.frame_bgra(0, width, 98)]
        pictures += [video.frame_bgra(0, w, 98) for w in range(60, 80)]
    for image in pictures:
        assert np.ptp(image[..., :3]) <= 1
        assert abs(int(image[0, 0, 0]) - 128) <= 2


def test_cancelled_opening_says_so(clip: Clips) -> None:
    with pytest.raises(MediaError, match="stopped"):
        VideoFile.open(clip("h264_b"), cancelled=lambda: True)


def test_progress_reaches_the_end(clip: Clips) -> None:
    shares: list[float] = []
    read_index(clip("h264_long"), progress=shares.append)
    assert shares == sorted(shares) and shares[-1] == 1.0


@pytest.mark.parametrize("name", sorted(RECIPES))
def test_the_early_first_picture_is_the_first_frame(clip: Clips, name: str) -> None:
    early = first_picture(clip(name), 160, 160)
    with VideoFile.open(clip(name)) as video:
        assert early is not None
        assert np.array_equal(early, video.frame_bgra(0, 160, 160))


def test_no_early_picture_of_what_is_no_recording(tmp_path: Path) -> None:
    path = tmp_path / "noise.mp4"
    path.write_bytes(bytes(range(256)) * 40)
    assert first_picture(path, 160, 90) is None
    assert first_picture(tmp_path / "gone.mp4", 160, 90) is None


def test_slow_motion_told_its_real_rate_is_in_real_seconds(clip: Clips) -> None:
    with (
        VideoFile.open(clip("h264_b")) as slow,
        VideoFile.open(clip("h264_b"), capture_fps=240) as real,
    ):
        assert np.allclose(real.index.time_s, slow.index.time_s / 8)
        assert real.duration_s == pytest.approx(slow.duration_s / 8)
        assert real.fps == pytest.approx(240)
        assert real.capture_fps == 240
        assert slow.has_sound and not real.has_sound
        assert np.array_equal(real.frame_rgb(33), slow.frame_rgb(33))
        assert number_in(real.frame_rgb(real.index.at(33 / 240))) == 33
        with real.another() as again:
            assert np.array_equal(again.index.time_s, real.index.time_s)
            assert not again.has_sound


def test_a_real_rate_above_zero(clip: Clips) -> None:
    with pytest.raises(MediaError, match="above zero"):
        VideoFile.open(clip("h264_b"), capture_fps=0)


@pytest.mark.parametrize("name", ["h264_b", "ts", "trimmed", "avi_h264_b"])
def test_a_second_decoder_gives_the_same(clip: Clips, name: str) -> None:
    with VideoFile.open(clip(name)) as video, video.another() as second:
        for i in (len(video.index) - 1, 3, 20):
            assert np.array_equal(video.frame_rgb(i), second.frame_rgb(i))


def test_how_far_a_frame_is_to_decode(clip: Clips) -> None:
    with VideoFile.open(clip("h264_long")) as video:
        video.frame_rgb(50)
        assert [video.frames_to(i) for i in (50, 51, 60)] == [0, 1, 10]
        assert video.frames_to(40) == 41


def test_recent_frames_are_kept_and_are_the_same(clip: Callable[[str], Path]) -> None:
    with VideoFile.open(clip("h264_long")) as video, VideoFile.open(clip("h264_long")) as plain:
        video.keep_recent(6 * video.width * video.height * 3 // 2)
        order = [*range(20, 40), *range(34, 50), 10, 39, 49]
        for i in order:
            assert np.array_equal(video.frame_rgb(i), plain.frame_rgb(i))
            assert video.frames_to(i) == 0
        before = video.seeks
        for i in (49, 39, 10, 49):
            assert video.frames_to(i) == 0
            video.frame_rgb(i)
        assert video.seeks == before
        assert video.frames_to(36) > 0, "no more than asked for is kept"
        assert plain.seeks > before


def test_what_no_frame_leans_on_is_not_decoded_on_the_way(clip: Clips) -> None:
    with VideoFile.open(clip("h264_long")) as video:
        before = video.frames_decoded
        video.frame_rgb(150)
        # Three in four of this film are such frames; a decoder is some frames ahead of its answer.
        assert video.frames_decoded - before < 100
        assert not video.is_damaged(150)
