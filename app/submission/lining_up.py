"""Footage and a force trace lined up by themselves: decoding and analysis joined.

Runs in any thread, knows no window; reports progress and can be stopped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.alignment import Alignment, AlignmentError
from analysis.clocks.cuts import line_up_with_cuts
from analysis.clocks.films import FilmPlace, line_up_of_films
from analysis.clocks.matching import Checked, LineUp, check, why_no_film
from analysis.clocks.motion import MotionError, MotionSignal, measure_motion
from analysis.clocks.sound import SoundError, SoundSignal, measure_sound
from analysis.force.strokes import find_strokes
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke
from app.media.index import FrameIndex, read_index
from app.media.motion_frames import GreyFrame, grey_frames, optical_flow
from app.media.sound import has_sound, read_sound

SOUND_HZ = 16_000
_CHUNK_S = 60.0
# A quarter of an hour of strokes says all that can be said, and its motion takes 60 MB to keep;
# of longer footage the first part is read.
LONGEST_S = 900.0
# Of the whole job, how much is the picture.
_PICTURE_SHARE = 0.93

Progress = Callable[[float], None]
Cancelled = Callable[[], bool]


class Stopped(Exception):
    """The work was stopped on request; nothing was changed."""


@dataclass(frozen=True)
class Signals:
    """What footage shows and sounds like; None for what it lacks."""

    motion: MotionSignal | None
    sound: SoundSignal | None


def footage_signals(
    video: str | Path,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    use: Sequence[str] = ("picture", "sound"),
) -> Signals:
    """Measure motion and sound of a recording; they can be kept for another line-up.

    Parameters
    ----------
    progress : called with a share from 0 to 1
    cancelled : asked at every frame
    use : "picture", "sound" or both

    Raises
    ------
    MediaError
        The recording cannot be read.
    Stopped
        `cancelled` said so.
    """
    index = read_index(video)
    end_s = min(index.end_s, LONGEST_S)
    motion = sound = None
    if "picture" in use:
        frames = grey_frames(video, cancelled, end_s=end_s)
        motion = _motion(frames, end_s, progress)
        _stop_if(cancelled)
    if "sound" in use and has_sound(video):
        sound = _sound(video, index, end_s, cancelled)
        _stop_if(cancelled)
    return Signals(motion, sound)


def check_footage(
    alignment: Alignment,
    signals: Signals,
    trace: ForceTrace,
    strokes: Sequence[Stroke] | None = None,
) -> Checked:
    """Judge a line-up that exists already against what the footage shows."""
    strokes = find_strokes(trace) if strokes is None else strokes
    return check(alignment, signals.motion, signals.sound, trace, strokes)


def search(
    video: Path,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
    slowness: float,
    known: Signals | None,
    further: Sequence[tuple[Path, FilmPlace]],
    progress: Callable[[float, str], None],
) -> tuple[Signals, LineUp]:
    """Find how footage lies over a trace, for a child process: progress comes last.

    Parameters
    ----------
    slowness : seconds the film lasts for each second on the footage's clock
    known : what was measured of the footage before, on the film's own clock; it comes back as well
    further : other films of the piece, each where it lies on the footage's clock; they are looked
        at where the first does not tell for sure

    Raises
    ------
    MediaError
        A recording cannot be read.
    AlignmentError
        None of them shows anything in common with the force.
    """
    if why_not := why_no_film(trace, strokes):
        raise AlignmentError(why_not)  # before minutes of decoding that could not change it
    share = 0.97 / (1 + len(further))
    signals = known or footage_signals(video, lambda done: progress(share * done, ""))
    here = _on_clock(signals, slowness)
    found: LineUp | None = None
    why: AlignmentError | None = None
    try:
        found = line_up_with_cuts(here.motion, here.sound, trace, strokes)
    except AlignmentError as error:
        why = error
    if found is None or found.verdict != "lined up":
        found = line_up_of_films(found, _by_themselves(further, trace, strokes, share, progress))
    if found is None:
        assert why is not None
        raise why
    return signals, found


def _by_themselves(
    films: Sequence[tuple[Path, FilmPlace]],
    trace: ForceTrace,
    strokes: Sequence[Stroke],
    share: float,
    progress: Callable[[float, str], None],
) -> list[tuple[FilmPlace, LineUp | None]]:
    """How each film lies over the force, on its own clock."""
    made: list[tuple[FilmPlace, LineUp | None]] = []
    for at, (path, place) in enumerate(films, 1):
        before = at * share

        def tick(done: float, before: float = before) -> None:
            progress(before + share * done, "")

        signals = footage_signals(path, tick)
        try:
            found = line_up_with_cuts(signals.motion, signals.sound, trace, strokes)
        except AlignmentError:
            made.append((place, None))
        else:
            made.append((place, found))
    return made


def judge(
    video: Path,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
    slowness: float,
    known: Signals | None,
    alignment: Alignment,
    progress: Callable[[float, str], None],
) -> tuple[Signals, str]:
    """Judge a line-up that exists already, as `search` looks for one; gives a sentence."""
    signals = known or footage_signals(video, lambda share: progress(0.97 * share, ""))
    here = _on_clock(signals, slowness)
    return signals, check_footage(alignment, here, trace, strokes).sentence


def _on_clock(signals: Signals, slowness: float) -> Signals:
    """Lay the signals, measured on the film's own clock, onto the one the coach told it runs by."""
    stretch = 1.0 / slowness
    motion, sound = signals.motion, signals.sound
    if motion is not None:
        motion = replace(motion, time_s=motion.time_s * stretch)
    if sound is not None:
        sound = replace(sound, time_s=sound.time_s * stretch)
    return replace(signals, motion=motion, sound=sound)


def _stop_if(cancelled: Cancelled | None) -> None:
    if cancelled is not None and cancelled():
        raise Stopped


def _motion(
    frames: Iterator[GreyFrame], end_s: float, progress: Progress | None
) -> MotionSignal | None:
    def tick(time_s: float) -> None:
        if progress is not None:
            progress(_PICTURE_SHARE * min(1.0, time_s / max(end_s, 1e-9)))

    try:
        return measure_motion(frames, optical_flow(), tick)
    except MotionError:
        return None  # the sound may still tell


def _sound(
    video: str | Path, index: FrameIndex, end_s: float, cancelled: Cancelled | None
) -> SoundSignal | None:
    def chunks() -> Iterator[NDArray[np.float32]]:
        for start in np.arange(0.0, end_s, _CHUNK_S).tolist():
            if cancelled is not None and cancelled():
                return
            yield read_sound(video, start, min(start + _CHUNK_S, end_s), SOUND_HZ, index)

    try:
        return measure_sound(chunks(), SOUND_HZ)
    except SoundError:
        return None


__all__ = [
    "AlignmentError",
    "Checked",
    "LineUp",
    "Signals",
    "Stopped",
    "check_footage",
    "footage_signals",
    "judge",
    "search",
]
