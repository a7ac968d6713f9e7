"""Simulated submissions for the line-up: pictures painted, followed and thrown away.

Painting is what costs, so one painted clip serves several submissions: each takes another stretch
of it and lays another force recording (clock, length, rate, noise, losses, position or none) and
another sound (clean, talk, music, distance, skew) beside it. Frames are painted at 320 by 180,
the size the line-up looks at; encoding is left to align_end_to_end. Walkers are painted behind or
in front of the athlete, noise is added to every frame.
"""

from __future__ import annotations

import pickle
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from analysis.clocks.motion import MotionMeter, MotionSignal
from analysis.clocks.sound import SoundSignal, measure_sound
from analysis.force.trace import ForceTrace
from app.media.motion_frames import optical_flow
from app.media.opencv import opencv
from samples.camera import Camera, hand_shake
from samples.faults import FAULTS
from samples.footage import Footage
from samples.force_recording import RecorderOptions, record
from samples.piece import Piece, PieceOptions, simulate_piece
from samples.rower import Build, move
from samples.sound import SOUND_HZ, make_sound

WIDTH, HEIGHT = 320, 180
BEFORE_S, AFTER_S = 150.0, 70.0
SOUND_SPEED = 343.0


@dataclass(frozen=True)
class Clip:
    """One painted clip: what the line-up keeps of its frames and of its sounds."""

    seed: int
    options: PieceOptions
    fps: float
    factor: float
    tags: tuple[str, ...]
    duration_s: float
    meter: MotionMeter
    sounds: dict[str, SoundSignal]


@dataclass(frozen=True)
class Case:
    """A submission with its truth. Times of `motion` and `sound` are video s."""

    motion: MotionSignal | None
    sound: SoundSignal
    trace: ForceTrace
    offset_s: float
    drift_ppm: float
    factor: float
    fps: float
    common: int  # whole strokes in both
    variation_s: float
    tags: tuple[str, ...]


def paint_clip(seed: int) -> Clip:
    """Draw the conditions of one clip, paint it and follow its motion."""
    rng = np.random.default_rng([seed, 71])
    factor = float(rng.choice([1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 2.0, 4.0]))
    fps = float(rng.choice([30.0, 30.0, 60.0, 25.0])) if factor == 1.0 else 30.0 * factor
    duration_s = {60.0: 28.0, 120.0: 16.0}.get(fps, 44.0)
    options, tags = _piece(rng, seed, duration_s)
    piece = simulate_piece(options)
    time_s = np.arange(round(duration_s * fps)) / fps
    motion = move(piece, time_s, Build(float(rng.uniform(1.62, 2.0))))
    facing = str(rng.choice(["left", "right"]))
    camera = Camera(WIDTH, HEIGHT, "right" if facing == "right" else "left")
    shake = None
    if rng.random() < 0.5:
        shake = hand_shake(seed, time_s, float(rng.uniform(0.5, 2.5)), camera.scale)
        tags.append("shake")
    footage = Footage(camera, motion, piece, shake, seed)
    walkers = _Walkers(rng, duration_s) if rng.random() < 0.4 else None
    if walkers is not None:
        tags.append("walkers")
    meter = _follow(footage, walkers, time_s, float(rng.uniform(0.5, 2.5)), rng)
    sound = make_sound(piece, motion, seed)
    sounds = {"clean": _hear(sound)}
    sounds["talk"] = _hear(sound + _talk(rng, len(sound), float(rng.uniform(0.05, 0.2))))
    sounds["music"] = _hear(sound + _music(rng, len(sound), float(rng.uniform(0.05, 0.2))))
    tags += [facing, f"x{factor:g}", f"{fps / factor:g} fps"]
    return Clip(seed, options, fps, factor, tuple(tags), duration_s, meter, sounds)


def _piece(
    rng: np.random.Generator, seed: int, duration_s: float
) -> tuple[PieceOptions, list[str]]:
    tags = []
    rate = float(rng.uniform(18.0, 36.0))
    options = PieceOptions(
        seed=seed,
        start_s=-BEFORE_S,
        duration_s=BEFORE_S + duration_s + AFTER_S,
        rate_spm=rate,
        variation=float(rng.uniform(0.4, 1.6)),
        pull_m=float(rng.uniform(1.1, 1.35)),
    )
    if rng.random() < 0.35:
        options = replace(options, end_rate_spm=float(np.clip(rate + rng.uniform(-8, 8), 18, 38)))
        tags.append("rate change")
    if rng.random() < 0.6:
        codes = rng.choice(sorted(FAULTS), size=int(rng.integers(1, 3)), replace=False)
        faults = tuple((str(c), float(rng.uniform(0.3, 1.0))) for c in codes)
        options = replace(options, faults=faults)
        tags += ["faults", *(c for c, _ in faults)]
    if rng.random() < 0.25:
        first = int(BEFORE_S * rate / 60.0)
        inside = first + int(rng.integers(1, max(2, int(duration_s * rate / 60.0) - 1)))
        pauses = ((inside, float(rng.uniform(3.0, 12.0))), (first // 2, 15.0))
        options = replace(options, pauses=pauses)
        tags.append("rests")
    if rng.random() < 0.15:
        first = int(BEFORE_S * rate / 60.0)
        halves = tuple(int(first + k) for k in rng.integers(0, 14, 2))
        options = replace(options, half_strokes=halves)
        tags.append("half strokes")
    return options, tags


class _Walkers:
    """People who cross the picture, to and fro, behind the athlete or in front."""

    def __init__(self, rng: np.random.Generator, duration_s: float) -> None:
        self.people = [
            (
                float(rng.uniform(-2.0, duration_s)),  # when at the left edge
                float(rng.uniform(4.0, 12.0) * rng.choice([-1.0, 1.0])),  # s to cross
                float(rng.uniform(0.55, 0.95)) * HEIGHT,
                int(rng.integers(20, 120)),
                bool(rng.random() < 0.3),
            )
            for _ in range(int(rng.integers(1, 5)))
        ]
        self.stripe = int(rng.integers(3, 7))

    def paint(self, image: np.ndarray, time_s: float, front: bool) -> None:
        cv2 = opencv()
        for start, cross_s, height, tone, before in self.people:
            share = (time_s - start) / abs(cross_s)
            if before != front or not -0.2 < share < 1.2:
                continue
            x = share * WIDTH if cross_s > 0 else (1.0 - share) * WIDTH
            step = 6.0 * np.sin(2.0 * np.pi * time_s * 1.8)
            foot = HEIGHT * 0.93 if before else HEIGHT * 0.72
            top, half = foot - height, 0.11 * height
            middle = foot - 0.45 * height
            for leg in (-step, step):
                cv2.line(image, _at(x, middle), _at(x + leg, foot), (tone,) * 3, 6, cv2.LINE_AA, 4)
            box = np.array([[x - half, top + 0.16 * height], [x + half, top + 0.16 * height],
                            [x + half, middle], [x - half, middle]])  # fmt: skip
            cv2.fillConvexPoly(image, np.rint(box * 16).astype(np.int32), (tone + 60,) * 3, 16, 4)
            cv2.circle(image, _at(x, top + 0.08 * height), int(16 * 0.07 * height),
                       (150, 170, 200), -1, cv2.LINE_AA, 4)  # fmt: skip
            y = top + 0.2 * height
            while y < middle:
                cv2.line(image, _at(x - half, y), _at(x + half, y), (tone,) * 3, 1, cv2.LINE_AA, 4)
                y += self.stripe


def _at(x: float, y: float) -> tuple[int, int]:
    return round(x * 16), round(y * 16)


def _follow(
    footage: Footage,
    walkers: _Walkers | None,
    time_s: np.ndarray,
    noise: float,
    rng: np.random.Generator,
) -> MotionMeter:
    cv2 = opencv()
    meter = MotionMeter(optical_flow())
    tiles = rng.normal(0.0, noise, (4, HEIGHT + 32, WIDTH + 32))
    still = footage.background
    for i, at in enumerate(time_s.tolist()):
        if walkers is not None:
            footage.background = still.copy()
            walkers.paint(footage.background, at, front=False)
        image = footage.frame(i)
        if walkers is not None:
            walkers.paint(image, at, front=True)
        grey = cv2.cvtColor(image, cv2.COLOR_BGR2GRAY)
        y, x = rng.integers(0, 32, 2)
        grain = tiles[i % 4, y : y + HEIGHT, x : x + WIDTH]
        meter.add(at, np.clip(grey + grain, 0, 255).astype(np.uint8))
    return meter


def _hear(sound: np.ndarray) -> SoundSignal:
    return measure_sound([sound.astype(np.float32)], SOUND_HZ)


def _talk(rng: np.random.Generator, count: int, level: float) -> np.ndarray:
    """Noise in speech bands in syllables of some 4 a second, with pauses between sentences."""
    from scipy.signal import butter, sosfilt

    sos = butter(2, [300.0, 3000.0], "bandpass", fs=SOUND_HZ, output="sos")
    voice = sosfilt(sos, rng.standard_normal(count))
    t = np.arange(0.0, count / SOUND_HZ + 0.05, 0.02)
    syllables = np.clip(rng.normal(0.3, 1.0, len(t)), 0.0, None)
    syllables = np.convolve(syllables, np.hanning(9) / 4.0, "same")
    speaking = np.repeat(rng.random(len(t) // 100 + 1) < 0.6, 100)[: len(t)]
    shape = np.interp(np.arange(count) / SOUND_HZ, t, syllables * speaking)
    out = voice / voice.std() * shape
    return level * out / (out.std() + 1e-9)


def _music(rng: np.random.Generator, count: int, level: float) -> np.ndarray:
    """Chords that change with the beat, and a drum on it."""
    t = np.arange(count) / SOUND_HZ
    beat = 60.0 / float(rng.uniform(85.0, 150.0))
    phase = (t % beat) / beat
    bar = (t / (4 * beat)).astype(int)
    roots = 110.0 * 2.0 ** (rng.integers(0, 12, bar.max() + 1) / 12.0)
    tone = np.zeros(count)
    for ratio in (1.0, 1.26, 1.5, 2.0, 3.0):
        tone += np.sin(2.0 * np.pi * np.cumsum(roots[bar] * ratio) / SOUND_HZ) / ratio
    drum = np.exp(-12.0 * phase) * rng.standard_normal(count)
    out = tone * (0.5 + 0.5 * np.exp(-3.0 * phase)) + 1.5 * drum
    return level * out / out.std()


def cached_clip(seed: int, folder: Path | None) -> Clip:
    """The clip of a seed, painted once where a folder keeps it."""
    if folder is None:
        return paint_clip(seed)
    path = folder / f"clip_{seed:04d}.pickle"
    if path.exists():
        clip: Clip = pickle.loads(path.read_bytes())
        return clip
    clip = paint_clip(seed)
    clip.meter._flow = None  # type: ignore[assignment]  # does not pickle, is not needed again
    path.write_bytes(pickle.dumps(clip))
    return clip


def draw_case(clip: Clip, motion: MotionSignal | None, number: int) -> Case:
    """Draw a stretch of a clip, a force recording and a sound to go with it."""
    rng = np.random.default_rng([clip.seed, number, 72])
    tags = list(clip.tags)
    length = float(rng.uniform(0.35, 1.0)) * clip.duration_s
    start = round(float(rng.uniform(0.0, clip.duration_s - length)) * clip.fps) / clip.fps
    piece = simulate_piece(clip.options)
    trace, offset_s, drift_ppm = _recorded(rng, piece, start, length, tags)
    kind = str(rng.choice(["clean", "talk", "music"]))
    tags.append(kind)
    late = float(rng.uniform(1.5, 4.5)) / SOUND_SPEED + float(rng.normal(0.0, 0.008))
    f = clip.factor
    part = None if motion is None else _cut_motion(motion, start, start + length, f)
    sound = _cut_sound(clip.sounds[kind], start, start + length, late, f)
    first, last = float(trace.time_s[0]), float(trace.time_s[-1])
    rate = (1.0 + drift_ppm * 1e-6) / f

    def in_both(world_s: float) -> bool:
        said = ((world_s - start) * f - offset_s) * rate
        return start <= world_s <= start + length and first <= said <= last

    common = sum(in_both(s.catch_s) and in_both(s.finish_s) for s in piece.strokes)
    catches = np.array([s.catch_s for s in piece.strokes])
    variation = float(np.median(np.abs(np.diff(catches, 2))))
    return Case(
        part, sound, trace, offset_s, (rate - 1.0) * 1e6, f, clip.fps / f, common, variation,
        tuple(tags),
    )  # fmt: skip


def _recorded(
    rng: np.random.Generator, piece: Piece, start: float, length: float, tags: list[str]
) -> tuple[ForceTrace, float, float]:
    """A force recording; offset in video seconds of the cut footage (slow motion counted)."""
    zero = float(rng.choice([rng.uniform(-120.0, -5.0), rng.uniform(-10.0, 10.0)])) + start
    drift = float(rng.uniform(-200.0, 200.0))
    recorder = RecorderOptions(
        sample_hz=float(rng.choice([50.0, 100.0, 200.0])),
        offset_s=max(zero, -BEFORE_S + 1.0),
        drift_ppm=drift,
        noise=float(rng.uniform(0.0, 0.02)),
        dropouts=float(rng.choice([0.0, 0.0, 0.01, 0.03])),
        position=bool(rng.random() < 0.5),
    )
    tags.append("position" if recorder.position else "force alone")
    recording = record(piece, recorder, int(rng.integers(1 << 30)))
    world = recording.time_s / (1.0 + drift * 1e-6) + recorder.offset_s
    end = start + length + float(rng.choice([rng.uniform(-0.4 * length, 0.0), rng.uniform(0, 60)]))
    keep = world <= max(end, recorder.offset_s + 4.0)
    position = None if recording.position_m is None else recording.position_m[keep]
    trace = ForceTrace(recording.time_s[keep], recording.force_n[keep], position)
    factor = next(float(t[1:]) for t in tags if t.startswith("x"))
    return trace, (recorder.offset_s - start) * factor, drift


def _cut_motion(motion: MotionSignal, begin: float, end: float, factor: float) -> MotionSignal:
    use = (motion.time_s >= begin - 1e-6) & (motion.time_s <= end)
    travel = motion.travel[use].copy()
    travel[0] = 0.0
    time_s = motion.time_s[use]
    return replace(motion, time_s=(time_s - time_s[0]) * factor, travel=travel)


def _cut_sound(
    sound: SoundSignal, begin: float, end: float, late: float, factor: float
) -> SoundSignal:
    at = sound.time_s + late
    use = (at >= begin) & (at <= end)
    return SoundSignal((at[use] - begin) * factor, sound.level[use])
