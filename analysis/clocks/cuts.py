"""Footage with a cut in it: where the picture jumps, and each side lined up by itself.

A stretch left out of a film moves all that follows on the force's clock. Whoever looks only for one
line sees one side, or neither. A jump in the picture says where to look; whether it is a cut the
force tells: both sides have to lie where a film of that order can.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.alignment import AlignmentError
from analysis.clocks.matching import Candidate, LineUp, Side, line_up
from analysis.clocks.motion import MotionSignal
from analysis.clocks.sound import SoundSignal
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke

FloatArray = NDArray[np.float64]

# How far a picture differs from the one before, against its neighbours', where a film jumps. Set on
# the painted athlete, uncut and cut at every phase of the stroke, see line-up.md.
JUMP_TIMES = 1.9
NEIGHBOURS = 6  # frames to either side
MOST_CUTS = 6
SHORTEST_SIDE_S = 5.0
# Less than this between both sides is the error of lining up, not a cut.
LEAST_S = 0.25


def jumps_in(motion: MotionSignal) -> tuple[float, ...]:
    """Video times, s, of the first frames after what may be a cut, the plainest six in order."""
    changed = motion.changed
    if changed is None or len(changed) < 4 * NEIGHBOURS:
        return ()
    around = np.stack([np.roll(changed, k) for k in range(-NEIGHBOURS, NEIGHBOURS + 1) if k])
    usual = np.maximum(around.max(axis=0), 1e-9)
    times = changed / usual
    times[: 2 * NEIGHBOURS] = times[-2 * NEIGHBOURS :] = 0.0
    found = [int(i) for i in np.argsort(-times) if times[i] > JUMP_TIMES]
    begin, end = float(motion.time_s[0]), float(motion.time_s[-1])
    kept: list[float] = []
    for i in found:
        at = float(motion.time_s[i])
        if all(abs(at - edge) >= SHORTEST_SIDE_S for edge in (begin, end, *kept)):
            kept.append(at)
    return tuple(sorted(kept[:MOST_CUTS]))


def line_up_with_cuts(
    motion: MotionSignal | None,
    sound: SoundSignal | None,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
    slow_motion: float | None = None,
) -> LineUp:
    """Find how footage lies over force, on each side of a cut where it has any.

    The line-up is that of the side with the most strokes, its `sides` are all of them; none where
    the footage runs through.

    Raises
    ------
    AlignmentError
        As `line_up`, where no side shows anything in common either.
    """
    jumps = () if motion is None else jumps_in(motion)
    if not jumps:
        return line_up(motion, sound, trace, strokes, slow_motion)
    sides = [
        _side(motion, sound, trace, strokes, slow_motion, part) for part in _parts(motion, jumps)
    ]
    sides = _joined(_in_order(sides))
    known = [side for side in sides if side.found is not None]
    if len(sides) == 1 or len(known) == 0:
        return line_up(motion, sound, trace, strokes, slow_motion)
    sides = [_bounded(side, side is sides[0], side is sides[-1]) for side in sides]
    best = max((side.found for side in sides if side.found is not None), key=_worth)
    further = tuple(
        side.found.alignment
        for side in sides
        if side.found is not None and side.found is not best and side.found.verdict == "lined up"
    )
    alignment = replace(best.alignment, further=further)
    return replace(best, alignment=alignment, sides=tuple(sides))


def _bounded(side: Side, first: bool, last: bool) -> Side:
    """A side whose line-up says where it holds: what lies beyond a cut is not lined up by it."""
    if side.found is None:
        return side
    holds = replace(
        side.found.alignment,
        from_s=None if first else side.from_s,
        until_s=None if last else side.until_s,
    )
    return replace(side, found=replace(side.found, alignment=holds))


def _parts(motion: MotionSignal | None, jumps: Iterable[float]) -> list[tuple[float, float]]:
    assert motion is not None
    return list(pairwise((float(motion.time_s[0]), *jumps, float(motion.time_s[-1]) + 1e-6)))


def _side(
    motion: MotionSignal | None,
    sound: SoundSignal | None,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
    slow_motion: float | None,
    part: tuple[float, float],
) -> Side:
    """What one part of the footage shows, taken for a film of its own."""
    from_s, until_s = part
    if motion is not None:
        use = (motion.time_s >= from_s) & (motion.time_s < until_s)
        travel = motion.travel[use].copy()
        travel[:1] = 0.0
        stir = None if motion.stir is None else motion.stir[use]
        motion = replace(motion, time_s=motion.time_s[use], travel=travel, stir=stir, changed=None)
    if sound is not None:
        use = (sound.time_s >= from_s) & (sound.time_s < until_s)
        sound = SoundSignal(sound.time_s[use], sound.level[use]) if use.sum() > 100 else None
    try:
        return Side(from_s, until_s, line_up(motion, sound, trace, strokes, slow_motion))
    except AlignmentError:
        return Side(from_s, until_s, None)


def _in_order(sides: Sequence[Side]) -> list[Side]:
    """Leave out what a film in this order cannot show: nothing is seen twice, or backwards.

    A side that is sure decides what its neighbours may be; of theirs the most likely that fits
    stays.
    """
    out = list(sides)
    for i in sorted(range(len(out)), key=lambda i: _worth(out[i].found), reverse=True):
        found = out[i].found
        if found is None or found.verdict == "not together":
            out[i] = replace(out[i], found=None)
            continue
        fits = [c for c in found.candidates if _fits_in(c, out, i)]
        if not fits:
            out[i] = replace(out[i], found=None)
        elif fits[0] is not found.candidates[0] or len(fits) < len(found.candidates):
            out[i] = replace(out[i], found=_narrowed(found, fits))
    return out


def _fits_in(candidate: Candidate, sides: Sequence[Side], at: int) -> bool:
    """Whether a candidate leaves the moments of sides that are sure in their order."""
    for k, other in enumerate(sides):
        if k == at or other.found is None or other.found.verdict != "lined up":
            continue
        later = (
            other.found.alignment.offset_s - candidate.offset_s
        )  # of this one, if it comes after
        if (later if k < at else -later) < -LEAST_S:
            return False
    return True


def _narrowed(found: LineUp, fits: Sequence[Candidate]) -> LineUp:
    """A line-up with only those candidates that the order of the film leaves."""
    whole = sum(c.likelihood for c in fits)
    listed = tuple(replace(c, likelihood=c.likelihood / max(whole, 1e-12)) for c in fits)
    top = listed[0]
    alignment = replace(
        found.alignment,
        offset_s=top.offset_s,
        drift_ppm=top.drift_ppm,
        uncertainty_s=top.uncertainty_s,
    )
    return replace(found, alignment=alignment, candidates=listed)


def _joined(sides: Sequence[Side]) -> list[Side]:
    """Sides that lie on one line are one: the picture jumped, the clock did not."""
    out: list[Side] = []
    for side in sides:
        last = out[-1] if out else None
        if (
            last is not None
            and last.found is not None
            and side.found is not None
            and abs(last.found.alignment.offset_s - side.found.alignment.offset_s) < LEAST_S
        ):
            better = max((last, side), key=lambda s: _worth(s.found))
            out[-1] = Side(last.from_s, side.until_s, better.found)
        else:
            out.append(side)
    return out


def _worth(found: LineUp | None) -> tuple[bool, int]:
    return (False, 0) if found is None else (found.verdict == "lined up", found.strokes)


def said_of_sides(found: LineUp) -> str:
    """What there is to say about a film with a cut; "" where it runs through."""
    if not found.sides:
        reach = found.alignment.reach
        return f"A film is cut within: the line-up holds {reach}." if reach else ""
    cuts = ", ".join(f"{side.from_s:.1f}" for side in found.sides[1:])
    own = next((side for side in found.sides if _is_own(side, found)), None)
    if not found.alignment.has_gap:
        offsets = "; ".join(
            f"from {side.from_s:.1f} to {side.until_s:.1f} s the force's clock reads zero at "
            f"{side.found.alignment.offset_s:.2f} s"
            for side in found.sides
            if side.found is not None
        )
        return f"The film is cut at {cuts} s, and each side is lined up by itself: {offsets}."
    holds = " and ".join(
        f"from {side.from_s:.1f} to {side.until_s:.1f} s"
        for side in found.sides
        if side is own or (side.found is not None and side.found.verdict == "lined up")
    )
    said = f"The film is cut at {cuts} s: the line-up holds {holds} only."
    for side in found.sides:
        if side is own:
            continue
        where = f"From {side.from_s:.1f} to {side.until_s:.1f} s"
        if side.found is None or side.found.verdict != "lined up":
            said += f" {where} it is not sure how the force lies."
        else:
            said += (
                f" {where} the force's clock reads zero at {side.found.alignment.offset_s:.2f} s."
            )
    return said


def _is_own(side: Side, found: LineUp) -> bool:
    if side.found is None:
        return False
    own, line = side.found.alignment, found.alignment
    return (own.offset_s, own.drift_ppm) == (line.offset_s, line.drift_ppm)
