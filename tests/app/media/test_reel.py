"""Films that were cut: each frame carries its number in its pixels, through seam and gap."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from app.media.encode import ClipLook, cut_open
from app.media.errors import MediaError
from app.media.laid import Laid
from app.media.reel import Reel, open_reel
from app.media.server import FrameServer
from app.media.sound_feed import CHUNK_S, RATE_HZ, SoundFeed
from app.media.veil import Patch
from app.media.video import VideoFile
from tests.helpers.clips import needs_ffmpeg, number_in
from tests.helpers.cut_films import FPS, cut_film
from tests.helpers.patience import HANGS_S

pytestmark = needs_ffmpeg
CUTS = ((0, 40), (40, 75), (105, 140))  # a second is missing before the last


@pytest.fixture(scope="module")
def cut(tmp_path_factory: pytest.TempPathFactory) -> tuple[Laid, ...]:
    folder = tmp_path_factory.mktemp("cut")
    return tuple(Laid(cut_film(folder / f"{a}.mp4", a, b), a / FPS) for a, b in CUTS)


@pytest.fixture
def reel(cut: tuple[Laid, ...]) -> Iterator[VideoFile]:
    with open_reel(cut) as opened:
        yield opened


def test_every_moment_shows_its_own_frame_whatever_order_they_are_asked_in(
    reel: VideoFile,
) -> None:
    moments = [i for a, b in CUTS for i in range(a, b)]
    assert len(reel.index) == len(moments)
    for i in [*moments[::7], *moments[::-5]]:
        at = reel.index.at(i / FPS)
        assert number_in(reel.frame_rgb(at)) == i
        assert number_in(reel.frame_bgra(at, 160, 90)) == i
        assert number_in(reel.finish(reel.small(at, 160, 90))) == i


def test_where_nothing_was_filmed_there_is_a_gap_and_no_frame(reel: VideoFile) -> None:
    ((begin_s, end_s),) = reel.index.gaps
    assert (begin_s, end_s) == pytest.approx((75 / FPS, 105 / FPS), abs=1e-6)
    assert not reel.index.holds(3.0)
    assert reel.index.holds(2.49)
    assert reel.index.holds(3.5)
    assert reel.index.gap_at(1.0) is None


def test_a_film_from_before_the_first_stands_before_zero(cut: tuple[Laid, ...]) -> None:
    begins_late = [Laid(f.path, f.starts_s - 40 / FPS) for f in (cut[1], cut[0], cut[2])]
    with open_reel(begins_late) as reel:
        assert reel.index.start_s == pytest.approx(-40 / FPS)
        assert reel.index.holds(-0.5)
        for i in (0, 13, 39, 40, 74, 105):
            assert number_in(reel.frame_rgb(reel.index.at((i - 40) / FPS))) == i


def test_of_two_that_show_a_moment_the_earlier_does_to_its_end(cut: tuple[Laid, ...]) -> None:
    early = Laid(cut[1].path, 30 / FPS)  # ten frames too early
    with open_reel((cut[0], early)) as reel:
        shown = [number_in(reel.frame_rgb(i)) for i in range(len(reel.index))]
    assert shown == [*range(40), *range(50, 75)]
    assert np.all(np.diff(reel.index.time_s) > 0)


def test_a_clip_over_the_seam_shows_every_frame_once_and_is_heard(
    reel: VideoFile, tmp_path: Path
) -> None:
    out = tmp_path / "clip.mp4"
    cut_open(reel, 30 / FPS, 50 / FPS, out, ClipLook())
    with VideoFile.open(out) as clip:
        assert [number_in(clip.frame_rgb(i)) for i in range(len(clip.index))] == list(range(30, 50))
        assert pitch(clip.sound(0.05, 0.3, 48000)) == pytest.approx(400, abs=8)
        assert pitch(clip.sound(0.38, 0.63, 48000)) == pytest.approx(800, abs=8)


def pitch(sound: np.ndarray) -> float:
    lines = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    return float(np.argmax(lines) * 48000 / len(sound))


def test_a_clip_over_a_gap_stands_still_there(reel: VideoFile, tmp_path: Path) -> None:
    out = tmp_path / "clip.mp4"
    cut_open(reel, 70 / FPS, 110 / FPS, out, ClipLook())
    with VideoFile.open(out) as clip:
        assert clip.duration_s == pytest.approx(40 / FPS, abs=0.01)
        assert number_in(clip.frame_rgb(clip.index.at(0.6))) == 74
        assert number_in(clip.frame_rgb(clip.index.at(36 / FPS))) == 106
        assert np.abs(clip.sound(0.4, 1.0, 48000)).max() < 0.02


def test_a_film_of_another_shape_and_turn_gets_bars_and_its_face_stays_hidden(
    cut: tuple[Laid, ...], tmp_path: Path
) -> None:
    upright = Laid(cut_film(tmp_path / "upright.mp4", 40, 60, (120, 200)), 40 / FPS)
    hidden = Patch(160.0, 90.0, 40.0, 40.0)
    with (
        open_reel((cut[0], upright)) as reel,
        open_reel((cut[0], upright), lambda t: (hidden,)) as veiled,
    ):
        image = reel.frame_rgb(50)
        assert image.shape == (180, 320, 3)
        assert image[:, :90].max() < 30  # the bar beside it
        assert number_in(np.ascontiguousarray(image[:, 106:214])) == 50
        covered = veiled.frame_rgb(50)
        assert np.abs(covered[80:100, 150:170].astype(int) - image[80:100, 150:170]).mean() > 1.0
        assert reel.hides(50) is False
        assert veiled.hides(50)
        cut_open(reel, 35 / FPS, 55 / FPS, tmp_path / "clip.mp4", ClipLook())
    with VideoFile.open(tmp_path / "clip.mp4") as clip:
        last = clip.frame_rgb(len(clip.index) - 1)
        assert number_in(np.ascontiguousarray(last[:, 106:214])) == 54


def test_the_server_goes_from_film_to_film(cut: tuple[Laid, ...]) -> None:
    came: dict[int, int] = {}
    news = threading.Condition()

    def take(frame: object) -> None:
        with news:
            came[frame.index] = number_in(frame.image_bgra)  # type: ignore[attr-defined]
            news.notify()

    with open_reel(cut) as reel:
        numbers = {reel.index.at(i / FPS): i for i in (39, 40, 74, 105, 0)}
    server = FrameServer(cut[0].path, take, pytest.fail, more=cut[1:])
    try:
        for index, number in numbers.items():
            server.request(index, 160, 90)
            with news:
                assert news.wait_for(partial(came.__contains__, index), HANGS_S)
            assert came[index] == number
    finally:
        server.close()


def test_the_sound_that_is_heard_is_that_of_the_film_on_screen(reel: Reel) -> None:
    parts = [(f.path, f.index) for f in reel.films]
    feed = SoundFeed(*parts[0], parts[1:])
    try:
        feed.expect(0.0)
        wait_until_ready(feed, 2 * CHUNK_S - 0.1)
        assert pitch(feed.samples(round(0.9 * RATE_HZ), 12000)) == pytest.approx(400, abs=8)
        assert pitch(feed.samples(round(1.5 * RATE_HZ), 12000)) == pytest.approx(800, abs=8)
        assert np.abs(feed.samples(round(2.7 * RATE_HZ), 12000)).max() < 0.01
    finally:
        feed.close()


def wait_until_ready(feed: SoundFeed, time_s: float) -> None:
    for _ in range(int(100 * HANGS_S)):
        if feed.is_ready(time_s):
            return
        threading.Event().wait(0.01)
    pytest.fail("the sound did not come")


def test_one_that_is_gone_is_told_of_and_leaves_nothing_open(
    cut: tuple[Laid, ...], tmp_path: Path
) -> None:
    with pytest.raises(MediaError, match="gone"):
        open_reel((cut[0], Laid(tmp_path / "gone.mp4", 2.0)))
