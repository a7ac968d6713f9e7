"""A rendered walkthrough against its own events, one output frame after the other."""

from __future__ import annotations

import json
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import webvtt

from analysis.clocks.alignment import Alignment
from app.bundle.walkthrough.walkthrough_picture import lay_out
from app.bundle.walkthrough.walkthrough_render import WalkJob, render_walk
from app.bundle.wording.errors import BundleCancelled
from app.media.encode import ClipWriter
from app.media.errors import MediaError
from app.media.loudness import loudness_lufs
from app.media.sound import read_sound
from app.media.video import VideoFile
from app.review.parts.curve_marks import new_curve_mark
from app.review.parts.marks import new_mark
from app.review.parts.picture import PictureTurn
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import (
    CurveShown,
    MarkDrawn,
    MarkGone,
    Moved,
    Ran,
    Shown,
    Turned,
    Zoomed,
)
from app.review.parts.walkthroughs import AddWalkthrough, Caption, Cut, Walkthrough, new_walkthrough
from app.review.recordings import refer
from app.review.review import Review
from app.review.voice import to_wav
from app.review.walkthrough_scene import View
from tests.helpers.clips import FFPROBE, number_in, numbered
from tests.helpers.submissions import submission_of

FPS = 30
FRAMES = 240
HZ = 48_000


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A film whose pixels hold the frame's number, in one long group of pictures."""
    folder = tmp_path_factory.mktemp("walk")
    with ClipWriter(folder / "film.mp4", 320, 180) as film:
        for i in range(FRAMES):
            film.add(numbered(i), i / FPS)
        film.finish(FRAMES / FPS)
    return folder


def review_of(folder: Path, walk: Walkthrough, wav: bytes = b"", **fields) -> WalkJob:
    path = folder / "a.review"
    state = ReviewState(video=refer(folder / "film.mp4", "video", path), **fields)
    review = Review.create(path, state, replace_existing=True)
    if wav:
        review.keep_sound(walk.sound_id, wav)
    review.do(AddWalkthrough(walk))
    return WalkJob(review.state, path)


def played(at_s: float, from_frame: int, count: int, rate: float) -> list[Moved | Ran]:
    """What the bench notes while a film runs: the run, and each frame as it comes on screen.

    Frames come a few milliseconds late, unevenly, as they do on a screen.
    """
    step = 1 if rate > 0 else -1
    events: list[Moved | Ran] = [Ran(at_s, from_frame / FPS, rate)]
    for i in range(count):
        shown_at = at_s + i / FPS / abs(rate) + 0.001 * (i * 7 % 9)
        events.append(Moved(shown_at, (from_frame + step * i) / FPS + 1e-4))
    stop_s = at_s + count / FPS / abs(rate)
    last = from_frame + step * (count - 1)
    return [*events, Ran(stop_s, last / FPS, 0.0)]


# At rest on 10; plays from 10 to 40; freezes; steps back to 37; half speed to 67; jumps to 200.
SCRIPT = (
    Moved(0.0, 10 / FPS),
    *played(1.0, 10, 31, 1.0),
    Moved(3.0, 39 / FPS),
    Moved(3.2, 38 / FPS),
    Moved(3.4, 37 / FPS),
    *played(4.0, 37, 31, 0.5),
    Moved(7.0, 200 / FPS),
    *played(7.5, 200, 16, -1.0),
)
LENGTH_S = 9.0


def expected(at_s: float) -> int:
    """The frame that was on screen, worked out from the script by hand."""
    if at_s < 1.0:
        return 10
    if at_s < 1.0 + 31 / FPS:
        return 10 + int((at_s - 1.0) * FPS + 1e-6)
    if at_s < 3.0:
        return 40
    if at_s < 4.0:
        return 39 if at_s < 3.2 else 38 if at_s < 3.4 else 37
    if at_s < 4.0 + 62 / FPS:
        return 37 + int((at_s - 4.0) * FPS / 2 + 1e-6)
    if at_s < 7.0:
        return 67
    if at_s < 7.5:
        return 200
    if at_s < 7.5 + 16 / FPS:
        # Backwards, a frame is left the moment time falls below its start.
        return int(np.floor(200 - (at_s - 7.5) * FPS + 1e-6))
    return 185


def numbers_of(path: Path, film_height: int) -> list[int]:
    with VideoFile.open(path) as made:
        return [number_in(made.frame_rgb(i)[:film_height]) for i in range(len(made.index))]


def test_every_frame_is_the_one_that_was_shown(folder: Path, tmp_path: Path) -> None:
    walk = new_walkthrough(SCRIPT, LENGTH_S)
    out = tmp_path / "walk.mp4"
    result = render_walk(walk, review_of(folder, walk), out)
    numbers = numbers_of(out, 180)
    assert len(numbers) == LENGTH_S * FPS
    assert result.length_s == LENGTH_S
    assert numbers == [expected((n + 0.5) / FPS) for n in range(len(numbers))]
    with VideoFile.open(out) as made:
        assert (made.width, made.height) == (320, 180)
        np.testing.assert_allclose(made.index.time_s, np.arange(len(numbers)) / FPS, atol=1.2e-5)


def test_what_was_cut_is_gone_and_the_rest_is_whole(folder: Path, tmp_path: Path) -> None:
    walk = replace(new_walkthrough(SCRIPT, LENGTH_S), cuts=(Cut(1.5, 3.1), Cut(3.0, 4.5)))
    render_walk(walk, review_of(folder, walk), tmp_path / "walk.mp4")
    numbers = numbers_of(tmp_path / "walk.mp4", 180)
    assert len(numbers) == (LENGTH_S - 3.0) * FPS
    middles = [(n + 0.5) / FPS for n in range(len(numbers))]
    assert numbers == [expected(m if m < 1.5 else m + 3.0) for m in middles]


def spoken(seconds: float) -> np.ndarray:
    """Noise in bursts, like nothing but itself at any shift."""
    rng = np.random.default_rng(7)
    noise = rng.standard_normal(round(seconds * HZ))
    bursts = np.repeat(rng.random(round(seconds * 10)) > 0.5, HZ // 10)
    return np.round(4000 * noise * bursts[: len(noise)]).clip(-32768, 32767).astype("<i2")


def lag_of(heard: np.ndarray, said: np.ndarray) -> tuple[int, float]:
    """Samples by which one lies behind the other, and how alike they are there."""
    from scipy.signal import correlate

    match = correlate(heard, said, "full", "fft")
    lag = int(np.argmax(match)) - len(said) + 1
    return lag, float(match.max() / np.sqrt((heard @ heard) * (said @ said)))


def test_the_voice_stands_where_it_was_spoken(folder: Path, tmp_path: Path) -> None:
    said = spoken(LENGTH_S)
    walk = new_walkthrough(SCRIPT, LENGTH_S, "s" * 32)
    out = tmp_path / "walk.mp4"
    render_walk(walk, review_of(folder, walk, to_wav(said.tobytes())), out)
    heard = read_sound(out, 0.0, LENGTH_S, HZ).astype(float)
    lag, likeness = lag_of(heard, said.astype(float))
    assert abs(lag) < HZ / FPS / 4
    assert likeness > 0.9
    assert loudness_lufs(heard, HZ) == pytest.approx(-16.0, abs=1.0)
    # With a cut, both sides of it stand where the pictures of their moments do.
    walk = replace(walk, cuts=(Cut(2.0, 5.0),))
    render_walk(walk, review_of(folder, walk, to_wav(said.tobytes())), out)
    heard = read_sound(out, 0.0, LENGTH_S - 3.0, HZ).astype(float)
    for first_s, last_s, shift_s in ((0.0, 1.9, 0.0), (2.1, 5.9, 3.0)):
        part = heard[round(first_s * HZ) : round(last_s * HZ)]
        there = said[round((first_s + shift_s) * HZ) : round((last_s + shift_s) * HZ)]
        lag, likeness = lag_of(part, there.astype(float))
        assert abs(lag) < HZ / FPS / 4
        assert likeness > 0.9


def test_what_a_phone_needs(folder: Path, tmp_path: Path) -> None:
    walk = new_walkthrough([Moved(0.0, 1.0)], 1.0, "s" * 32)
    out = tmp_path / "walk.mp4"
    render_walk(walk, review_of(folder, walk, to_wav(spoken(1.0).tobytes())), out)
    assert FFPROBE is not None
    command = [FFPROBE, "-v", "error", "-show_streams", "-of", "json", str(out)]
    told = json.loads(subprocess.run(command, capture_output=True, check=True).stdout)["streams"]
    by_kind = {s["codec_type"]: s for s in told}
    assert by_kind["video"]["codec_name"] == "h264"
    assert by_kind["video"]["pix_fmt"] == "yuv420p"
    assert by_kind["video"]["r_frame_rate"] == "30/1"
    assert by_kind["audio"]["codec_name"] == "aac"
    data = out.read_bytes()
    assert data.find(b"moov") < data.find(b"mdat")


def frame_of(path: Path, at_s: float) -> np.ndarray:
    with VideoFile.open(path) as made:
        return made.frame_rgb(made.index.at(at_s))


def test_turn_mirror_zoom_and_marks(folder: Path, tmp_path: Path) -> None:
    mark = new_mark("line", [(100.0, 90.0), (220.0, 90.0)], 1.0, colour="red")
    walk = new_walkthrough(
        (
            Moved(0.0, 1.0),
            MarkDrawn(1.0, mark),
            MarkGone(2.0, mark.id),
            Turned(3.0, 0, True, 0.0),
            Zoomed(4.0, 2.0, 0.25, 0.25),
            Turned(5.0, 1, False, 0.0),
        ),
        6.0,
    )
    out = tmp_path / "walk.mp4"
    render_walk(walk, review_of(folder, walk, marks=(mark,)), out)
    source = numbered(30).astype(int)

    def differs(at_s: float, from_: np.ndarray) -> float:
        return float(np.abs(frame_of(out, at_s).astype(int) - from_).mean())

    assert differs(0.5, source) < 4.0
    line = frame_of(out, 1.5)[90, 160].astype(int)
    assert abs(line - (213, 94, 0)).max() < 40  # vermilion of the Okabe-Ito set
    assert differs(2.5, source) < 4.0
    assert differs(3.5, source[:, ::-1]) < 4.0
    quarter = np.repeat(np.repeat(source[:90, ::-1][:, :160], 2, axis=0), 2, axis=1)
    assert differs(4.5, quarter) < 6.0
    turned = frame_of(out, 5.5).astype(int)
    assert turned[:, :100].max() < 40  # upright in the middle, dark beside it
    assert turned[:, 120:200].mean() > 60


def test_lifted_as_the_coach_saw_it(folder: Path, tmp_path: Path) -> None:
    from app.media.light import lifted

    walk = new_walkthrough((Moved(0.0, 1.0), Turned(0.0, 0, False, 0.8)), 0.5)
    render_walk(walk, review_of(folder, walk), tmp_path / "walk.mp4")
    made = frame_of(tmp_path / "walk.mp4", 0.2).astype(int)
    assert np.abs(made - lifted(numbered(30), 0.8)).mean() < 4.0


def test_a_mark_corrected_later_is_painted_corrected(folder: Path, tmp_path: Path) -> None:
    mark = new_mark("line", [(100.0, 90.0), (220.0, 90.0)], 1.0, colour="red")
    walk = new_walkthrough((Moved(0.0, 1.0), MarkDrawn(0.0, mark)), 0.5)
    now = replace(mark, points_px=((100.0, 130.0), (220.0, 130.0)))
    render_walk(walk, review_of(folder, walk, marks=(now,)), tmp_path / "walk.mp4")
    made = frame_of(tmp_path / "walk.mp4", 0.2).astype(int)
    assert made[130, 160, 0] - made[130, 160, 2] > 120
    assert made[90, 160, 0] - made[90, 160, 2] < 60


def force_text() -> str:
    time_s = np.arange(0.0, 8.0, 0.01)
    force_n = np.zeros_like(time_s)
    for catch_s in (0.6, 2.6, 4.6, 6.6):
        share = np.clip((time_s - catch_s) / 0.8, 0.0, 1.0)
        force_n += 600.0 * np.sin(np.pi * share)
    rows = "".join(f"{t:.2f},{f:.2f}\n" for t, f in zip(time_s, force_n.clip(0), strict=True))
    return "time_s,force_N\n" + rows


def test_the_curve_stands_under_the_film_with_its_cursor(folder: Path, tmp_path: Path) -> None:
    (folder / "force.csv").write_text(force_text(), "utf-8")
    path = folder / "a.review"
    walk = new_walkthrough(
        (Moved(0.0, 2.8), Moved(1.0, 3.2), Moved(2.0, 3.6), CurveShown(3.0, False)), 4.0
    )
    from analysis.force.intake import read_trace

    mapping = read_trace(folder / "force.csv").intake.mapping
    trace = refer(folder / "force.csv", "trace", path, mapping)
    job = review_of(folder, walk, trace=trace, alignment=Alignment(method="by hand"))
    out = tmp_path / "walk.mp4"
    render_walk(walk, job, out)
    places = []
    for at_s in (0.5, 1.5, 2.5):
        image = frame_of(out, at_s).astype(int)
        assert image.shape == (270, 320, 3)
        assert number_in(image[:180].astype(np.uint8)) == round((2.8, 3.2, 3.6)[int(at_s)] * FPS)
        row = image[180 + 20]  # over the axis, where only the cursor is orange
        orange = np.flatnonzero((row[:, 0] - row[:, 2] > 80) & (row[:, 0] > 120))
        assert 1 <= len(orange) <= 5
        places.append(orange.mean())
    # A stroke of 2 s from its catch: 0.4 s apart each.
    assert places[1] - places[0] == pytest.approx(places[2] - places[1], abs=2.5)
    assert places[1] - places[0] == pytest.approx(0.4 / 2.12 * 270, abs=6.0)
    assert frame_of(out, 3.5)[185:, :].max() < 60


def test_where_the_film_shows_nothing_it_says_so(folder: Path, tmp_path: Path) -> None:
    walk = new_walkthrough((Moved(0.0, 1.0), Moved(0.5, 99.0)), 1.0)
    render_walk(walk, review_of(folder, walk), tmp_path / "walk.mp4")
    dark = frame_of(tmp_path / "walk.mp4", 0.9).astype(int)
    assert dark[:60].max() < 60
    assert dark.max() > 120  # the words


def test_what_stood_in_the_pictures_place_is_painted_there(folder: Path, tmp_path: Path) -> None:
    walk = new_walkthrough((Moved(0.0, 1.0), Shown(0.5, "comparison", "c")), 1.0)
    asked = []

    def paint(view: View, video_s: float, room: tuple[int, int]) -> np.ndarray:
        asked.append((view.ref, video_s, room))
        return np.full((90, 160, 3), (200, 30, 30), np.uint8)

    job = replace(review_of(folder, walk), stand_ins={"comparison": paint})
    render_walk(walk, job, tmp_path / "walk.mp4")
    assert asked == [("c", 1.0, (320, 180))]
    assert number_in(frame_of(tmp_path / "walk.mp4", 0.2)) == 30
    assert abs(frame_of(tmp_path / "walk.mp4", 0.8)[90, 160].astype(int) - (200, 30, 30)).max() < 9


def test_captions_lie_beside_it_on_its_clock(folder: Path, tmp_path: Path) -> None:
    walk = replace(
        new_walkthrough([Moved(0.0, 1.0)], 4.0),
        cuts=(Cut(1.0, 2.0),),
        captions=(Caption("a", 0.5, 0.9, "Hang <b> off"), Caption("b", 2.5, 3.5, "two\n\nlines")),
    )
    out = tmp_path / "walk.mp4"
    result = render_walk(walk, review_of(folder, walk), out)
    assert result.captions == out.with_suffix(".vtt")
    cues = webvtt.read(result.captions)
    assert [(c.start, c.end) for c in cues] == [
        ("00:00:00.500", "00:00:00.900"),
        ("00:00:01.500", "00:00:02.500"),
    ]
    assert "&lt;b&gt;" in result.captions.read_text("utf-8")
    # A rendering without captions does not leave the old ones beside the new film.
    render_walk(replace(walk, captions=()), review_of(folder, walk), out)
    assert list(webvtt.read(out.with_suffix(".vtt"))) == []


def test_stopped_midway_nothing_is_changed(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "walk.mp4"
    out.write_bytes(b"the one before")
    walk = new_walkthrough(SCRIPT, LENGTH_S)
    job = review_of(folder, walk)
    asked = []

    def cancelled() -> bool:
        asked.append(1)
        return len(asked) > 40

    with pytest.raises(BundleCancelled):
        render_walk(walk, job, out, cancelled=cancelled)
    assert out.read_bytes() == b"the one before"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["walk.mp4"]
    shares: list[float] = []
    render_walk(walk, job, out, lambda share, _doing: shares.append(share))
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert len(numbers_of(out, 180)) == LENGTH_S * FPS


def test_a_film_that_went_bad_is_a_sentence(folder: Path, tmp_path: Path) -> None:
    walk = new_walkthrough([Moved(0.0, 1.0)], 1.0)
    job = review_of(folder, walk)
    broken = tmp_path / "film.mp4"
    broken.write_bytes((folder / "film.mp4").read_bytes()[:5000])
    from app.bundle.sources.recordings import Sources

    sources = Sources(submission_of(video=broken))
    with pytest.raises(MediaError, match=r"\.$"):
        render_walk(walk, replace(job, sources=sources), tmp_path / "walk.mp4")
    assert not (tmp_path / "walk.mp4").exists()


@pytest.mark.parametrize("size", [(320, 180), (1080, 1920), (3840, 2160), (161, 121)])
def test_every_size_can_be_encoded(size: tuple[int, int]) -> None:
    for quarter in (0, 1):
        layout = lay_out(size, PictureTurn(quarter), True)
        assert layout.width % 2 == layout.film_height % 2 == layout.panel_height % 2 == 0
        assert -(-layout.width // 16) * -(-layout.height // 16) <= 36_864
        assert layout.width >= 0.85 * (size[quarter] - 1)


def test_the_footage_is_never_written_over(folder: Path) -> None:
    from app.bundle.wording.errors import BundleError

    walk = new_walkthrough([Moved(0.0, 1.0)], 1.0)
    before = (folder / "film.mp4").read_bytes()
    with pytest.raises(BundleError, match="footage itself"):
        render_walk(walk, review_of(folder, walk), folder / "film.mp4")
    assert (folder / "film.mp4").read_bytes() == before


def test_marks_on_the_curve_stand_on_their_strokes(folder: Path, tmp_path: Path) -> None:
    (folder / "force.csv").write_text(force_text(), "utf-8")
    path = folder / "a.review"
    from analysis.force.intake import read_trace

    mapping = read_trace(folder / "force.csv").intake.mapping
    trace = refer(folder / "force.csv", "trace", path, mapping)
    of_one = new_curve_mark("span", "time", [(20.0, 0.0), (60.0, 0.0)], "red", stroke=1)
    of_all = new_curve_mark("line", "time", [(70.0, 500.0), (100.0, 500.0)], "yellow")
    by_length = new_curve_mark("span", "length", [(0.0, 0.0), (100.0, 0.0)], "blue")
    # Three strokes, each at rest in its recovery; then the catch and the finish, for the cursor.
    walk = new_walkthrough(
        [Moved(float(i), s) for i, s in enumerate((2.0, 4.0, 6.0, 2.62, 3.38))], 5.0
    )
    job = review_of(
        folder, walk, trace=trace, alignment=Alignment(method="by hand"),
        curve_marks=(of_one, of_all, by_length),
    )  # fmt: skip
    out = tmp_path / "walk.mp4"
    render_walk(walk, job, out)
    catch, finish = (cursor_of(out, at_s) for at_s in (3.5, 4.5))
    ends = [catch + share * (finish - catch) for share in (0.2, 0.6, 0.7, 1.0)]
    for at_s, is_its_own in ((0.5, False), (1.5, True), (2.5, False)):
        panel = frame_of(out, at_s)[180:].astype(int)
        drive = panel[:, : round(finish) + 12]  # the cursor stands behind it
        level = drive[70]  # just above the zero line, where nothing but marks has a colour
        red = np.flatnonzero((level[:, 0] - level[:, 1] > 25) & (level[:, 0] - level[:, 2] > 40))
        assert (len(red) > 20) == is_its_own
        if is_its_own:
            assert (red[0], red[-1]) == pytest.approx((ends[0], ends[1]), abs=3.0)
        yellow = (drive[..., 0] - drive[..., 2] > 90) & (drive[..., 1] - drive[..., 2] > 105)
        drawn = np.flatnonzero(yellow.any(axis=0))
        assert (drawn[0], drawn[-1]) == pytest.approx((ends[2], ends[3]), abs=4.0)


def cursor_of(path: Path, at_s: float) -> float:
    """The column of the cursor in the panel."""
    row = frame_of(path, at_s)[180 + 68].astype(int)
    return float(np.flatnonzero((row[:, 0] - row[:, 2] > 80) & (row[:, 1] > 125)).mean())
