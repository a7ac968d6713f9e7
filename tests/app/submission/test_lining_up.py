"""Decoding and line-up joined, on the sample and on footage of others."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import AlignmentError
from analysis.clocks.cuts import jumps_in
from analysis.clocks.films import FilmPlace
from analysis.clocks.matching import LineUp, line_up
from analysis.clocks.motion import MotionSignal, measure_motion
from analysis.force.intake import read_trace
from analysis.force.strokes import find_strokes
from app.media.motion_frames import HEIGHT, WIDTH, grey_frames, optical_flow
from app.media.video import VideoFile
from app.submission import lining_up
from app.submission.lining_up import Signals, Stopped, check_footage, footage_signals, search
from samples.submission import small_sample
from tests.helpers.line_ups import laid
from tests.helpers.people import people


@pytest.fixture(scope="module")
def measured() -> tuple[Signals, list[float]]:
    """Motion and sound of the whole sample, and the progress told meanwhile."""
    shares: list[float] = []
    return footage_signals(small_sample().footage, shares.append), shares


def test_signals_serve_a_line_up_and_its_check(measured: tuple[Signals, list[float]]) -> None:
    sample = small_sample()
    signals, shares = measured
    assert shares == sorted(shares) and 0.5 < shares[-1] <= 1.0
    assert signals.motion is not None and signals.sound is not None
    trace = read_trace(sample.force)
    found = line_up(signals.motion, signals.sound, trace, find_strokes(trace))
    assert found.faces == "left"
    assert check_footage(found.alignment, signals, trace).agrees is True


def test_it_stops_when_told_to() -> None:
    asked = 0

    def soon() -> bool:
        nonlocal asked
        asked += 1
        return asked > 30

    with pytest.raises(Stopped):
        footage_signals(small_sample().footage, cancelled=soon)
    assert asked < 60


def test_small_frames_stand_at_their_true_times() -> None:
    path = small_sample().footage
    got = list(grey_frames(path, begin_s=1.0, end_s=2.0))
    with VideoFile.open(path) as video:
        times = video.index.time_s
        wanted = times[(times >= 1.0 - 1e-9) & (times <= 2.0)]
        full = video.frame_rgb(video.index.at(got[5][0])).mean(axis=2)
    assert [t for t, _ in got] == pytest.approx(wanted.tolist())
    assert got[5][1].shape == (HEIGHT, WIDTH)
    small = full.reshape(HEIGHT, 3, WIDTH, 3).mean(axis=(1, 3))
    assert np.corrcoef(small.ravel(), got[5][1].ravel())[0, 1] > 0.99


def test_turned_footage_is_looked_at_upright(shared_media: Path) -> None:
    _, lying = next(grey_frames(shared_media / "trouble" / "rot_0.mov"))
    _, turned = next(grey_frames(shared_media / "trouble" / "rot_90.mov"))
    with VideoFile.open(shared_media / "trouble" / "rot_90.mov") as video:
        upright = video.width > video.height
    assert (turned.shape[1] > turned.shape[0]) == upright
    assert lying.dtype == turned.dtype == np.uint8


def test_a_filmed_person_is_lined_up_with_published_points(shared_media: Path) -> None:
    made = people(shared_media / "people", 1.25, 100.0, seed=1, position=True)
    motion = measure_motion(made.frames, optical_flow())
    found = line_up(motion, None, made.trace, find_strokes(made.trace))
    assert not found.alignment.ambiguous
    # The published points are those of a tracker and lag by up to a frame.
    assert abs(found.alignment.offset_s - made.offset_s) < 1.5 / 30.0


def test_a_cut_in_a_film_is_seen_and_an_uncut_film_has_none(
    measured: tuple[Signals, list[float]],
) -> None:
    motion = measured[0].motion
    assert motion is not None and jumps_in(motion) == ()
    # Six seconds to either side: a cut is looked for no nearer to an end than five.
    begin, first, gone = 48, 228, 128
    end = first + gone + (first - begin)
    frames = list(grey_frames(small_sample().footage, end_s=(end - 0.5) / 30.0))
    left = frames[begin:first] + frames[first + gone :]
    assert len(left) == 2 * (first - begin)
    shown = [(i / 30.0, grey) for i, (_, grey) in enumerate(left)]
    assert jumps_in(measure_motion(shown, optical_flow())) == ((first - begin) / 30.0,)


def test_where_the_first_film_does_not_tell_the_others_are_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The film of a phone begun late, and that of the other side, which saw the whole piece."""
    late, whole = Path("late.mp4"), Path("whole.mp4")
    shown = {
        path: Signals(MotionSignal(np.arange(30.0), np.zeros(30), 1.0, np.ones((1, 1))), None)
        for path in (late, whole)
    }
    says: dict[int, LineUp | None] = {
        id(shown[late].motion): None, id(shown[whole].motion): laid({-2.0: 1.0}),
    }  # fmt: skip

    def lie(motion: object, *_rest: object) -> LineUp:
        found = says[id(motion)]
        if found is None:
            raise AlignmentError("Too few strokes.")
        return found

    monkeypatch.setattr(lining_up, "footage_signals", lambda path, *_: shown[path])
    monkeypatch.setattr(lining_up, "_on_clock", lambda signals, _slowness: signals)
    monkeypatch.setattr(lining_up, "line_up_with_cuts", lie)
    trace = read_trace(small_sample().force)
    strokes = find_strokes(trace)

    def found(*films: tuple[Path, FilmPlace]) -> LineUp:
        return search(late, trace, strokes, 1.0, None, films, lambda _share, _words: None)[1]

    place = FilmPlace(6.0, 0.03, "picture", True)
    assert found((whole, place)).alignment.offset_s == pytest.approx(4.0)
    with pytest.raises(AlignmentError, match="Too few"):
        found()
    says[id(shown[late].motion)] = laid({4.1: 1.0})
    assert found((whole, place)).alignment.offset_s == 4.1, "a sure one is not asked again"
