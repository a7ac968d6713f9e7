"""Offset and drift between footage and force, with how sure they are and what else would fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from analysis.clocks.alignment import NOT_TOGETHER, Alignment, AlignmentError
from analysis.clocks.candidates import Scene, Trial, likelihoods, trials
from analysis.clocks.events import find_events, with_events
from analysis.clocks.keeping_step import Step, Verdict, contradicts, judge
from analysis.clocks.motion import MotionSignal
from analysis.clocks.recordings_apart import FEWEST_STROKES, parts_of
from analysis.clocks.sound import SoundSignal
from analysis.clocks.trace_signal import TraceSignal, trace_signal, whole_strokes
from analysis.force.trace import ForceTrace
from analysis.signals.stroke import Stroke

FloatArray = NDArray[np.float64]

KEPT = "The line-up was left as it is."
UNTIMED = (
    "The force file holds single strokes without the time between them, which no film can be lined "
    "up with; ask for the force over time."
)
TOO_FEW = (
    "The force trace holds fewer than two strokes, too few to line up by; mark the same catch in "
    "the picture and on the trace."
)
# Candidates less likely than this are still listed as neighbours to step to, up to so many.
MOST_LISTED = 7
# How much a verdict says, the most last.
RANK = {"not together": 0, "one of several": 1, "lined up": 2}


@dataclass(frozen=True)
class Candidate:
    """One way to lay footage over force.

    Attributes
    ----------
    offset_s, drift_ppm : as in `Alignment`
    likelihood : share of belief among all candidates, 0 to 1
    uncertainty_s : half width of a 95 % interval of the offset, if this is the right one
    """

    offset_s: float
    drift_ppm: float
    likelihood: float
    uncertainty_s: float


@dataclass(frozen=True)
class Shown:
    """What both recordings say about the same motion, to be drawn over each other.

    Attributes
    ----------
    time_s : (N,) video s
    motion : (N,) handle speed as the picture (or loudness as the sound) has it, any unit
    predicted : (N,) the same as the trace would have it, scaled to `motion`; NaN where unknown
    """

    time_s: FloatArray
    motion: FloatArray
    predicted: FloatArray


@dataclass(frozen=True)
class Side:
    """A stretch of footage between two cuts.

    Attributes
    ----------
    from_s, until_s : video s
    found : how it lies by itself, None where it shows too little to say
    """

    from_s: float
    until_s: float
    found: LineUp | None


@dataclass(frozen=True)
class LineUp:
    """Footage and force on one clock.

    Attributes
    ----------
    alignment : the most likely one; its drift holds slow motion too, so that its rule stays true
    candidates : most likely first, the first is `alignment`
    strokes : how many common strokes it rests on
    slow_motion : how many times slower than life the footage runs, 1 for ordinary footage
    faces : "left" or "right", which way the athlete looks; "" where only sound was compared
    clock_ppm : how much faster the trace's clock runs with slow motion taken out
    common_uncertainty_s : half width of a 95 % interval of a stroke's place in the footage, in the
        middle of what is common; smaller than the offset's where trace zero lies far away
    picture, sound : what to draw, None without that signal
    residual_s : (strokes,) what is left of each stroke's lag after the line, video s
    step : how the strokes keep step, with the belief that none of the candidates is right
    verdict : "lined up", "one of several" where another candidate or none of them may be right as
        well, "not together" where footage and force are hardly of one piece
    sides : of footage with a cut, each stretch with its own; this is the one with most strokes
    """

    alignment: Alignment
    candidates: tuple[Candidate, ...]
    strokes: int
    slow_motion: float
    faces: str
    clock_ppm: float
    common_uncertainty_s: float
    picture: Shown | None
    sound: Shown | None
    residual_s: FloatArray
    step: Step
    verdict: Verdict
    sides: tuple[Side, ...] = ()


def line_up(
    motion: MotionSignal | None,
    sound: SoundSignal | None,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
    slow_motion: float | None = None,
) -> LineUp:
    """Find how the footage lies over the force.

    Parameters
    ----------
    motion, sound : what the footage shows and sounds like; at least one
    strokes : of the trace, from `find_strokes`
    slow_motion : how many times slower than life the footage runs, where it is known

    Raises
    ------
    AlignmentError
        Nothing to compare, or nothing in common.
    """
    parts = parts_of(trace, strokes)
    if len(parts) == 1:
        return _line_up(motion, sound, *parts[0], slow_motion)
    found: list[LineUp] = []
    missed: AlignmentError | None = None
    for part, own in parts:
        try:
            found.append(_line_up(motion, sound, part, own, slow_motion))
        except AlignmentError as error:
            missed = error
    if not found:
        assert missed is not None
        raise missed
    best = max(found, key=lambda each: (RANK[each.verdict], each.step.fits, each.strokes))
    if sum(each.verdict == "lined up" for each in found) > 1:
        # Sure of two parts is sure of neither.
        unsure = replace(best.alignment, ambiguous=True)
        return replace(best, alignment=unsure, verdict="one of several")
    return best


def _line_up(
    motion: MotionSignal | None,
    sound: SoundSignal | None,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
    slow_motion: float | None,
) -> LineUp:
    """Find how the footage lies over a force without long silences."""
    signal = _to_compare(motion, sound, trace, strokes)
    scene = Scene(motion, sound, signal)
    found = trials(scene, slow_motion)
    if not found:
        raise AlignmentError(
            "Footage and force show no strokes in common; the line-up was left as it was. "
            "Check that both are of the same piece, or mark a catch in both."
        )
    belief = likelihoods(found)
    verdict, step = judge(found, belief, signal, _length(motion, sound))
    order = np.argsort(-belief)[:MOST_LISTED].tolist()
    # Which stroke is which the rhythm says; what was struck only narrows how they lie.
    events = find_events(motion, sound, trace, strokes)
    narrowed = [with_events(found[i], events) for i in order]
    best = narrowed[0]
    listed = [_candidate(t, float(belief[i])) for t, i in zip(narrowed, order, strict=True)]
    top = listed[0]
    unsure, method = verdict != "lined up", _method(scene, best)
    alignment = Alignment(top.offset_s, top.drift_ppm, top.uncertainty_s, method, unsure)
    return LineUp(
        alignment=alignment,
        candidates=tuple(listed),
        strokes=best.strokes,
        slow_motion=best.factor,
        # In the drive the handle moves away from the flywheel, which the athlete faces.
        faces="" if motion is None else {1: "left", -1: "right"}[best.sign],
        clock_ppm=(1.0 / best.fit.slope - 1.0) * 1e6,
        common_uncertainty_s=best.half_width(best.middle_s) * best.factor,
        picture=_shown_picture(scene, alignment, best),
        sound=_shown_sound(scene, alignment, best),
        residual_s=best.fit.residual_s[0] * best.factor,
        step=step,
        verdict=verdict,
    )


def why_no_film(trace: ForceTrace, strokes: Sequence[Stroke]) -> str:
    """Why no film can be lined up with a force, whatever it shows; "" where one may be."""
    why = [_why_none(part, own) for part, own in parts_of(trace, strokes)]
    return why[-1] if all(why) else ""


def _why_none(trace: ForceTrace, strokes: Sequence[Stroke]) -> str:
    if not trace.timed:
        return UNTIMED
    return TOO_FEW if len(whole_strokes(trace, strokes)) < FEWEST_STROKES else ""


def _to_compare(
    motion: MotionSignal | None,
    sound: SoundSignal | None,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
) -> TraceSignal:
    """The force as it is compared; raises AlignmentError where there is too little on a side."""
    if motion is None and sound is None:
        raise AlignmentError("The footage shows no motion and has no sound to line up by.")
    if why := _why_none(trace, strokes):
        raise AlignmentError(why)
    return trace_signal(trace, strokes)


def _length(motion: MotionSignal | None, sound: SoundSignal | None) -> float:
    """How long the footage lasts, video s."""
    times = [part.time_s for part in (motion, sound) if part is not None]
    return max(float(time_s[-1] - time_s[0]) for time_s in times)


def _candidate(trial: Trial, likelihood: float) -> Candidate:
    rate = 1.0 / (trial.fit.slope * trial.factor)
    return Candidate(
        offset_s=trial.fit.offset_s * trial.factor,
        drift_ppm=(rate - 1.0) * 1e6,
        likelihood=likelihood,
        uncertainty_s=trial.half_width(0.0) * trial.factor,
    )


def _method(scene: Scene, trial: Trial) -> str:
    """Say what a line-up rests on."""
    names = [w.name for w in trial.witnesses]
    on = [name for name in names if name != "knock"]
    if on == ["picture"] and not scene.signal.from_position:
        on = ["picture", "force alone"]
    if "knock" in names:
        on.append("a knock felt and heard")
    by = " and ".join((", ".join(on[:-1]), on[-1])) if len(on) > 1 else on[0]
    if contradicts(trial):
        by += ", which contradict each other"
    slow = f", footage {trial.factor:g} times slower" if trial.factor != 1.0 else ""
    return f"by {by}{slow}"


def _shown_picture(scene: Scene, alignment: Alignment, trial: Trial) -> Shown | None:
    motion, signal = scene.motion, scene.signal
    if motion is None:
        return None
    at = _trace_times(alignment, motion.time_s)
    step = np.diff(motion.time_s, prepend=motion.time_s[0] - 1.0)
    said = np.diff(np.interp(at, signal.time_s, signal.travel), prepend=0.0) / step
    said[0] = 0.0
    return _scaled(motion.time_s, trial.sign * motion.speed, said, _known(signal, at))


def _shown_sound(scene: Scene, alignment: Alignment, trial: Trial) -> Shown | None:
    if scene.sound is None or trial.bands is None:
        return None
    at = _trace_times(alignment, scene.sound.time_s)
    said = np.interp(at, scene.signal.time_s, scene.signal.wheel)
    heard = scene.sound.level @ trial.bands
    known = _known(scene.signal, at)
    if known.any():
        heard, said = heard - heard[known].mean(), said - said[known].mean()
    return _scaled(scene.sound.time_s, heard, said, known)


def _trace_times(alignment: Alignment, video_s: FloatArray) -> FloatArray:
    return (video_s - alignment.offset_s) * (1.0 + alignment.drift_ppm * 1e-6)


def _known(signal: TraceSignal, at: FloatArray) -> NDArray[np.bool_]:
    known = np.interp(at, signal.time_s, signal.known.astype(float), left=0.0, right=0.0)
    sure: NDArray[np.bool_] = known > 0.99
    return sure


def _scaled(
    time_s: FloatArray, seen: FloatArray, said: FloatArray, known: NDArray[np.bool_]
) -> Shown:
    energy = float((said[known] ** 2).sum())
    gain = float((said[known] * seen[known]).sum()) / energy if energy > 0.0 else 1.0
    return Shown(time_s, seen, np.where(known, gain * said, np.nan))


@dataclass(frozen=True)
class Checked:
    """How an existing line-up stands against what the recordings show.

    Attributes
    ----------
    agrees : True or False, None where the recordings cannot tell
    apart_s : by how much the footage would have to move, video s in the middle of the common part;
        None where it cannot be told
    uncertainty_s : half width of a 95 % interval of `apart_s`
    strokes : common strokes it rests on
    sentence : the same for the coach
    """

    agrees: bool | None
    apart_s: float | None
    uncertainty_s: float | None
    strokes: int
    sentence: str


def check(
    alignment: Alignment,
    motion: MotionSignal | None,
    sound: SoundSignal | None,
    trace: ForceTrace,
    strokes: Sequence[Stroke],
) -> Checked:
    """Judge a line-up that came with the recordings or was made by hand.

    It is respected: nothing is changed, only said. It agrees when the recordings put the strokes
    within both uncertainties, or half a frame, of where it does.
    """
    try:
        found = line_up(motion, sound, trace, strokes)
    except AlignmentError:
        return Checked(
            None, None, None, 0, "The recordings do not show enough to check the line-up by."
        )
    if found.verdict == "not together":
        return Checked(None, None, None, found.step.strokes, f"{NOT_TOGETHER} {KEPT}")
    middle = float(np.median([s.catch_s for s in strokes]))
    likely = [c for c in found.candidates if c.likelihood > 0.01] or list(found.candidates[:1])
    apart = [_apart(c, alignment, middle) for c in likely]
    nearest = int(np.argmin(np.abs(apart)))
    allowed = float(np.hypot(found.common_uncertainty_s, alignment.uncertainty_s or 0.0))
    if motion is not None and len(motion.time_s) > 1:
        allowed = max(allowed, 0.5 * float(np.median(np.diff(motion.time_s))))
    agrees = bool(abs(apart[nearest]) <= allowed)
    if agrees:
        sentence = f"Picture and force agree on {found.strokes} strokes with this line-up."
    else:
        sentence = (
            f"By {found.strokes} strokes the footage should stand {abs(apart[0]):.2f} s "
            f"{'later' if apart[0] > 0 else 'earlier'} against the force than this line-up has it."
        )
        nearest = 0
    return Checked(agrees, apart[nearest], found.common_uncertainty_s, found.strokes, sentence)


def _apart(candidate: Candidate, alignment: Alignment, trace_s: float) -> float:
    other = replace(alignment, offset_s=candidate.offset_s, drift_ppm=candidate.drift_ppm)
    return other.video_time(trace_s) - alignment.video_time(trace_s)
