"""Several films of one piece on one clock: where each begins on the clock of the first.

Three witnesses, the surest first. What two microphones heard at the same time is alike in every
click and word, and unlike at any other time; the picture then says how far each film's sound stands
from its own picture. Films that do not overlap are each lined up to the force. Where there is none,
the times of recording say something, and at last only the order. Nothing is called sure that rests
on those two.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.alignment import Alignment
from analysis.clocks.matching import RANK, Candidate, LineUp, Shown
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import STEP_S, SoundSignal

FloatArray = NDArray[np.float64]
How = Literal["sound", "picture", "force", "recorded", "order"]

LEAST_OVERLAP_S: Final = 5.0
# Loudness is compared above its own course over this long: strokes come and go slower.
_COURSE_S: Final = 0.4
# How alike two sounds are where they are the same, and how much more than at the next best place.
# Set on painted and recorded sounds; see docs/footage.md.
ALIKE, ABOVE_RIVAL = 0.15, 1.6
_RIVAL_APART_S: Final = 0.15
# Sound stands this far from its picture in phones' films, on each side (EBU R37: 60 ms).
_SOUND_SLIP_S: Final = 0.06
_PICTURE_REACH_S: Final = 0.3
_PICTURE_ALIKE: Final = 0.8
_FINE_S: Final = 0.002
# The same motion from another side turns a little earlier or later: common practice, no source.
_OTHER_SIDE_S: Final = 0.02
RECORDED_S: Final = 2.0  # times of recording are whole seconds, and cameras begin late
_CLOCK_SHARE: Final = 5e-5  # what a fitted clock rate may still be off by
_ENOUGH: Final = 0.95


@dataclass(frozen=True)
class FilmFacts:
    """What is known of one film.

    Attributes
    ----------
    length_s : from its first frame to the end of its last
    began_at : when it was recorded as its head says, s since 1970; None where it does not
    motion, sound : what it shows and sounds like, each None without
    line_up : how it lies over the force, None without one or where nothing was found
    why_not : why nothing was found, "" where something was
    """

    length_s: float
    began_at: float | None = None
    motion: MotionSignal | None = None
    sound: SoundSignal | None = None
    line_up: LineUp | None = None
    why_not: str = ""


@dataclass(frozen=True)
class FilmPlace:
    """Where a film begins on the clock of the first.

    Attributes
    ----------
    offset_s : s of the first film's clock
    uncertainty_s : half width of a 95 % interval, None where nothing can be said
    how : what it rests on
    sure : whether it may be taken without asking
    """

    offset_s: float
    uncertainty_s: float | None
    how: How
    sure: bool


def place_film(first: FilmFacts, other: FilmFacts, after_s: float | None = None) -> FilmPlace:
    """Find where a film begins on the clock of the first.

    Parameters
    ----------
    after_s : where the film before it ends, s of that clock; None for the first one's end. Only
        taken where nothing else is known
    """
    heard = sound_offset(first.sound, other.sound)
    if heard is not None:
        return _seen(first.motion, other.motion, heard)
    recorded = _recorded(first, other)
    by_force = _by_force(first.line_up, other.line_up, recorded)
    if by_force is not None:
        return by_force
    if recorded is not None:
        return recorded
    return FilmPlace(first.length_s if after_s is None else after_s, None, "order", False)


def sound_offset(first: SoundSignal | None, other: SoundSignal | None) -> float | None:
    """Where the other's sound begins on the first one's clock, s; None where they share nothing.

    Sounds that overlap for less than five seconds are not compared.
    """
    if first is None or other is None:
        return None
    lags, alike = likeness(_busy(first.level), _busy(other.level))
    if len(lags) == 0:
        return None
    best = int(np.argmax(alike))
    apart = np.abs(lags - lags[best]) > round(_RIVAL_APART_S / STEP_S)
    rival = float(alike[apart].max(initial=0.0))
    if alike[best] < ALIKE or alike[best] < ABOVE_RIVAL * rival:
        return None
    fine = lags[best] + _vertex(alike, best)
    return float(first.time_s[0] + fine * STEP_S - other.time_s[0])


def likeness(first: FloatArray, other: FloatArray) -> tuple[NDArray[np.intp], FloatArray]:
    """How alike two are at each lag of the other: correlation over what overlaps.

    Parameters
    ----------
    first, other : (N, B) and (M, B) with a mean of zero

    Returns
    -------
    lags, alike
        Steps of the first at which the other begins, and -1 to 1.
    """
    bands = min(first.shape[1], other.shape[1])
    first, other = first[:, :bands], other[:, :bands]
    n, m = len(first), len(other)
    size = 1 << int(n + m - 1).bit_length()
    lags = np.arange(-(m - 1), n)
    product = _correlated(first, other, size, lags)
    one, two = (first**2).sum(axis=1, keepdims=True), (other**2).sum(axis=1, keepdims=True)
    energy_first = _correlated(one, np.ones((m, 1)), size, lags)
    energy_other = _correlated(np.ones((n, 1)), two, size, lags)
    overlap = np.minimum(lags + m, n) - np.maximum(lags, 0)
    use = overlap >= LEAST_OVERLAP_S / STEP_S
    both = np.sqrt(np.maximum(energy_first[use] * energy_other[use], 1e-9))
    return lags[use], product[use] / both


def _correlated(a: FloatArray, b: FloatArray, size: int, lags: NDArray[np.intp]) -> FloatArray:
    """Sum over bands and steps of `a` at each step times `b` begun at the lag."""
    spectrum = np.fft.rfft(a, size, axis=0) * np.conj(np.fft.rfft(b, size, axis=0))
    whole: FloatArray = np.fft.irfft(spectrum.sum(axis=1), size)
    return whole[lags % size]


def _busy(level: FloatArray) -> FloatArray:
    """What is heard above the course of the strokes, each band as loud as the others."""
    steps = max(3, round(_COURSE_S / STEP_S) | 1)
    padded = np.pad(level, ((steps // 2, steps // 2), (0, 0)), mode="edge")
    total = np.cumsum(np.vstack((np.zeros((1, level.shape[1])), padded)), axis=0)
    busy = level - (total[steps:] - total[:-steps]) / steps
    spread = 1.4826 * np.median(np.abs(busy), axis=0) + 1e-6
    calm: FloatArray = np.clip(busy / spread, -4.0, 4.0)
    return calm - calm.mean(axis=0)


def _vertex(values: FloatArray, at: int) -> float:
    """How far the top of a parabola through three values lies from the middle one, in steps."""
    if not 0 < at < len(values) - 1:
        return 0.0
    low, top, high = values[at - 1 : at + 2]
    bend = low - 2.0 * top + high
    return 0.0 if bend >= 0.0 else float(np.clip(0.5 * (low - high) / bend, -0.5, 0.5))


def _seen(first: MotionSignal | None, other: MotionSignal | None, heard_s: float) -> FilmPlace:
    """The picture's word near what was heard; the sound's where the pictures are not alike."""
    slip = FilmPlace(heard_s, 2.0**0.5 * _SOUND_SLIP_S, "sound", True)
    if first is None or other is None:
        return slip
    shifts = np.arange(-_PICTURE_REACH_S, _PICTURE_REACH_S + 0.5 * _FINE_S, _FINE_S)
    alike = np.array([_moves_alike(first, other, heard_s + shift) for shift in shifts])
    alike = np.abs(alike)  # the other side sees it mirrored
    best = int(np.argmax(alike))
    if alike[best] < _PICTURE_ALIKE or best in (0, len(shifts) - 1):
        return slip
    offset = heard_s + float(shifts[best]) + _vertex(alike, best) * _FINE_S
    frame_s = max(float(np.median(np.diff(m.time_s))) for m in (first, other))
    return FilmPlace(offset, float(np.hypot(_OTHER_SIDE_S, 0.5 * frame_s)), "picture", True)


def _moves_alike(first: MotionSignal, other: MotionSignal, offset_s: float) -> float:
    """Correlation of what moves in two films at one offset; 0 where too little overlaps.

    Ways are compared over each interval of the other film: neither has to be at the same rate.
    """
    edges = other.time_s + offset_s
    inside = (edges >= first.time_s[0]) & (edges <= first.time_s[-1])
    if inside.sum() < 2 or np.ptp(edges[inside]) < LEAST_OVERLAP_S:
        return 0.0
    way = np.interp(edges[inside], first.time_s, np.cumsum(first.travel))
    one, two = np.diff(way), other.travel[inside][1:]
    one, two = one - one.mean(), two - two.mean()
    norm = float(np.sqrt((one**2).sum() * (two**2).sum()))
    return 0.0 if norm <= 0.0 else float(one @ two) / norm


def _recorded(first: FilmFacts, other: FilmFacts) -> FilmPlace | None:
    """What the times of recording say; some cameras write down the end instead."""
    if first.began_at is None or other.began_at is None:
        return None
    apart = other.began_at - first.began_at
    offset = apart
    if 0.0 <= apart < first.length_s - 1.0 and apart >= other.length_s - 1.0:
        offset = apart + first.length_s - other.length_s
    return FilmPlace(offset, RECORDED_S, "recorded", False)


def _by_force(
    first: LineUp | None, other: LineUp | None, recorded: FilmPlace | None
) -> FilmPlace | None:
    """Both films over one force; where one could lie otherwise, the times of recording decide."""
    if first is None or other is None:
        return None
    if "not together" in (first.verdict, other.verdict):
        return None
    tried = list(_ways(first, other, recorded))
    weights = np.array([weight for weight, _place in tried])
    total = float(weights.sum())
    if total <= 0.0:
        return None
    best = int(np.argmax(weights))
    plain = first.verdict == other.verdict == "lined up"
    told = recorded is not None and weights[best] >= _ENOUGH * total
    return replace(tried[best][1], sure=plain or told)


def _ways(
    first: LineUp, other: LineUp, recorded: FilmPlace | None
) -> Iterator[tuple[float, FilmPlace]]:
    both_sure = first.verdict == other.verdict == "lined up"
    for one in first.candidates:
        for two in other.candidates:
            place = _through(first, one, other, two)
            weight = one.likelihood * two.likelihood
            if recorded is not None and not both_sure:
                away = (place.offset_s - recorded.offset_s) / (0.5 * RECORDED_S)
                weight *= float(np.exp(-0.5 * away**2))
            yield weight, place


def _through(first: LineUp, one: Candidate, other: LineUp, two: Candidate) -> FilmPlace:
    """Where the other begins, by way of the force's clock.

    Of a film with a cut the side counts that the other lies next to, where it is known.
    """
    own = Alignment(two.offset_s, two.drift_ppm)
    begins_s = (_edge(other.alignment, last=False) or own).trace_time(0.0)
    at = Alignment(one.offset_s, one.drift_ppm)
    if first.alignment.is_partial:
        at = _edge(first.alignment, last=at.video_time(begins_s) > 0.0) or at
    offset = at.video_time(begins_s)
    away_s = max(0.0, abs(offset) - _reach(first))
    sure_s = (first.common_uncertainty_s, other.common_uncertainty_s, _CLOCK_SHARE * away_s)
    return FilmPlace(offset, float(np.sqrt(np.sum(np.square(sure_s)))), "force", False)


def _edge(line: Alignment, last: bool) -> Alignment | None:
    """The line of the first or the last side of a film with a cut; None where it is not sure."""
    if not line.is_partial or line.ambiguous:
        return None
    part = line.parts[-1 if last else 0]
    return part if (part.until_s if last else part.from_s) is None else None


def _reach(line_up: LineUp) -> float:
    """How long the film is that was lined up, s."""
    shown = line_up.picture or line_up.sound
    return 0.0 if shown is None or len(shown.time_s) == 0 else float(shown.time_s[-1])


def joined(place: FilmPlace, ends_s: float, frame_s: float) -> FilmPlace:
    """The place of a film that may go on where another ended: nothing between them, if it can be.

    Parameters
    ----------
    ends_s : where the film before it ends
    frame_s : how long a frame lasts
    """
    if place.uncertainty_s is None or place.how == "recorded":
        return place
    near_s = max(place.uncertainty_s, frame_s)
    if abs(place.offset_s - ends_s) > near_s:
        return place
    return replace(place, offset_s=ends_s)


def line_up_of_films(
    first: LineUp | None, others: Sequence[tuple[FilmPlace, LineUp | None]]
) -> LineUp | None:
    """How the force lies under films on one clock: by the film that shows it best.

    Only films whose place rests on what they show or sound like count beside the first: one that
    was placed by way of the force says nothing new. Films that contradict each other leave it open.

    Parameters
    ----------
    others : where each further film begins, and how it lies over the force by itself

    Returns
    -------
    LineUp | None
        On the clock of the first film; None where none of them shows anything in common with it.
    """
    own = [] if first is None else [first]
    heard = [
        shifted(found, place)
        for place, found in others
        if found is not None and place.sure and place.how in ("sound", "picture")
    ]
    every = [*own, *heard]
    if not every:
        return None
    best = max(every, key=lambda found: (RANK[found.verdict], found.strokes))
    if best.verdict == "lined up" and any(_denies(best, other) for other in every):
        unsure = replace(best.alignment, ambiguous=True)
        return replace(best, alignment=unsure, verdict="one of several")
    return best


def shifted(found: LineUp, place: FilmPlace) -> LineUp:
    """A film's line-up on the clock it was placed on, with what its place leaves open."""
    by, slip_s = place.offset_s, place.uncertainty_s or 0.0
    return replace(
        found,
        alignment=found.alignment.moved(by, slip_s),
        candidates=tuple(
            replace(
                c,
                offset_s=c.offset_s + by,
                uncertainty_s=float(np.hypot(c.uncertainty_s, slip_s)),
            )
            for c in found.candidates
        ),
        common_uncertainty_s=float(np.hypot(found.common_uncertainty_s, slip_s)),
        picture=_drawn_later(found.picture, by),
        sound=_drawn_later(found.sound, by),
        sides=tuple(
            replace(
                side,
                from_s=side.from_s + by,
                until_s=side.until_s + by,
                found=None if side.found is None else shifted(side.found, place),
            )
            for side in found.sides
        ),
    )


def _drawn_later(shown: Shown | None, by_s: float) -> Shown | None:
    return None if shown is None else replace(shown, time_s=shown.time_s + by_s)


def _denies(best: LineUp, other: LineUp) -> bool:
    """Whether another film of the same moment says that the force lies elsewhere, or not at all."""
    if other is best or other.verdict == "one of several":
        return False
    if other.verdict == "not together":
        return True
    apart_s = abs(other.alignment.offset_s - best.alignment.offset_s)
    return apart_s > _RIVAL_APART_S + best.common_uncertainty_s + other.common_uncertainty_s
