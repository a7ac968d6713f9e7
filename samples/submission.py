"""The sample submission: footage, force and their ground truth in one folder."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from importlib.resources import files
from pathlib import Path

import numpy as np

from samples.faults import Faults, SampleError, fault_strengths
from samples.flywheel import FloatArray
from samples.force_recording import RecorderOptions, Recording, record, write_text
from samples.piece import Piece, PieceOptions, simulate_piece

FOOTAGE, FORCE, TRUTH = "footage.mp4", "force.csv", "truth.json"
STOPPED = "The sample was stopped; nothing was written."


@dataclass(frozen=True)
class SampleOptions:
    """What the sample shows. The same options give the same files.

    Attributes
    ----------
    duration_s, fps, width, height : of the footage; even sides
    rate_spm, end_rate_spm, peak_n, faults, variation, pauses, half_strokes : see `PieceOptions`
    offset_s : seconds after the camera at which the force recorder was started
    drift_ppm, sample_hz, noise, baseline_n, dropouts, position, delimiter, decimal, header : see
        `RecorderOptions`
    shake : how unsteady the camera is held, 0 for a tripod, 1 for a hand
    grain : noise of the picture, 1 is that of a phone indoors
    facing : which way the athlete looks, "left" or "right"
    burn_index : write the frame's number into the picture as blocks
    crf : constant quality of the encoder, smaller is better and bigger
    """

    seed: int = 1
    duration_s: float = 40.0
    fps: int = 30
    width: int = 1920
    height: int = 1080
    rate_spm: float = 22.0
    end_rate_spm: float | None = None
    peak_n: float | None = None
    faults: tuple[tuple[str, float], ...] = (("give", 0.55), ("early-loss", 0.5))
    variation: float = 1.0
    pauses: tuple[tuple[int, float], ...] = ()
    half_strokes: tuple[int, ...] = ()
    offset_s: float = 3.37
    drift_ppm: float = 40.0
    sample_hz: float = 100.0
    noise: float = 0.006
    baseline_n: float = 2.0
    dropouts: float = 0.0
    position: bool = True
    delimiter: str = ","
    decimal: str = "."
    header: bool = True
    stature_m: float = 1.84
    shake: float = 0.0
    grain: float = 1.0
    facing: str = "left"
    burn_index: bool = False
    crf: int = 27

    def piece(self) -> PieceOptions:
        """The piece that covers the footage and whatever of the recording comes before it."""
        start = min(0.0, self.offset_s)
        return PieceOptions(
            seed=self.seed,
            duration_s=self.duration_s - start,
            start_s=start,
            rate_spm=self.rate_spm,
            end_rate_spm=self.end_rate_spm,
            peak_n=self.peak_n,
            faults=self.faults,
            variation=self.variation,
            pauses=self.pauses,
            half_strokes=self.half_strokes,
        )

    def recorder(self) -> RecorderOptions:
        """The force recorder."""
        return RecorderOptions(
            self.sample_hz,
            self.offset_s,
            self.drift_ppm,
            self.noise,
            self.baseline_n,
            self.dropouts,
            self.position,
            self.delimiter,
            self.decimal,
            self.header,
        )


# The sample that comes with the program: `make_submission(folder, SMALL)` writes it anew. On five
# catches, as 20 s give, its line-up could be chance; see docs/sample.md.
SMALL = SampleOptions(duration_s=26.0, width=960, height=540, crf=25)

# The reference stroke that comes with the program: no fault, at a low rate, small.
# `make_submission(folder, REFERENCE)` writes it anew, with a ground truth nobody ships.
REFERENCE = SampleOptions(
    seed=20,
    duration_s=18.5,
    width=640,
    height=360,
    rate_spm=20.0,
    faults=(),
    offset_s=0.4,
    drift_ppm=0.0,
    grain=0.3,
    crf=30,
)


@dataclass(frozen=True)
class Submission:
    """Where the three files of a sample lie."""

    footage: Path
    force: Path
    truth: Path


def small_sample() -> Submission:
    """The small sample that comes with the program.

    Raises
    ------
    SampleError
        The installation lacks it.
    """
    folder = Path(str(files("samples"))) / "small"
    submission = Submission(folder / FOOTAGE, folder / FORCE, folder / TRUTH)
    if not all(p.is_file() for p in (submission.footage, submission.force, submission.truth)):
        raise SampleError(
            "The small sample is missing from this installation; 'strokeside sample' makes one."
        )
    return submission


def reference_sample() -> tuple[Path, Path]:
    """Footage and force of the reference stroke that comes with the program.

    Raises
    ------
    SampleError
        The installation lacks it.
    """
    folder = Path(str(files("samples"))) / "reference"
    footage, force = folder / FOOTAGE, folder / FORCE
    if not (footage.is_file() and force.is_file()):
        raise SampleError("The simulated reference stroke is missing from this installation.")
    return footage, force


def simulate_force(options: SampleOptions) -> tuple[Recording, Piece]:
    """Only the force of a sample, with the piece behind it; no picture is painted."""
    _check(options)
    piece = simulate_piece(options.piece())
    return record(piece, options.recorder(), options.seed), piece


def make_submission(
    out_dir: Path,
    options: SampleOptions | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Submission:
    """Write footage.mp4, force.csv and truth.json into a folder, which is made if need be.

    Parameters
    ----------
    progress : called with a share from 0 to 1
    cancelled : asked at every frame; True stops and leaves nothing behind

    Raises
    ------
    SampleError
        The options cannot be shown, the folder cannot be written, it holds somebody's files of
        these names, or the work was stopped. Files of an earlier sample are replaced whole or
        not at all.
    """
    from app.media.atomic import replacing
    from app.media.errors import MediaError

    options = options or SampleOptions()
    _check(options)
    out_dir = Path(out_dir)
    _prepare(out_dir)
    recording, piece = simulate_force(options)
    try:
        with (
            replacing(out_dir / TRUTH) as truth,
            replacing(out_dir / FORCE) as force,
            replacing(out_dir / FOOTAGE) as footage,
        ):
            document = _film(footage, piece, options, progress, cancelled)
            force.write_bytes(write_text(recording, options.recorder()).encode("utf-8"))
            truth.write_bytes(document.encode("utf-8"))
    except MediaError as error:
        raise SampleError(str(error)) from None
    except OSError as error:
        raise SampleError(f"The sample was not written: {_reason(error)}.") from None
    return Submission(out_dir / FOOTAGE, out_dir / FORCE, out_dir / TRUTH)


def _film(
    target: Path,
    piece: Piece,
    options: SampleOptions,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> str:
    """Encode the footage into `target` and give the ground truth as text."""
    from samples.camera import Camera, hand_shake
    from samples.filming import Grain, film
    from samples.footage import Footage
    from samples.rower import Build, move
    from samples.sound import SOUND_HZ, make_sound
    from samples.truth import truth_document

    count = round(options.duration_s * options.fps)
    time_s: FloatArray = np.arange(count, dtype=np.float64) / options.fps
    motion = move(piece, time_s, Build(options.stature_m))
    camera = Camera(options.width, options.height, "right" if options.facing == "right" else "left")
    shake = None
    if options.shake:
        shake = hand_shake(options.seed, time_s, options.shake, camera.scale)
    footage = Footage(camera, motion, piece, shake, options.seed, options.burn_index)

    def tick(index: int) -> None:
        if cancelled is not None and cancelled():
            raise SampleError(STOPPED)
        if progress is not None:
            progress(index / count)

    grain = Grain(options.width, options.height, options.grain, options.seed)
    sound = make_sound(piece, motion, options.seed)
    film(target, footage.frame, count, options.fps, grain, sound, SOUND_HZ, options.crf, tick)
    if progress is not None:
        progress(1.0)
    return truth_document(piece, motion, camera, shake, options.recorder(), asdict(options))


def _check(options: SampleOptions) -> None:
    faults: Faults = options.faults
    fault_strengths(faults)
    if options.width % 2 or options.height % 2:
        raise SampleError(
            f"Footage needs even sides, not {options.width} by {options.height} pixels."
        )
    if not (320 <= options.width <= 4096 and 180 <= options.height <= 2304):
        raise SampleError("Footage can be 320 by 180 to 4096 by 2304 pixels.")
    if not 5 <= options.fps <= 240:
        raise SampleError("Footage can have 5 to 240 frames per second.")
    if not 2.0 <= options.duration_s <= 7200.0:
        raise SampleError("A sample lasts 2 seconds to 2 hours.")
    if options.facing not in ("left", "right"):
        raise SampleError("The athlete can face 'left' or 'right'.")
    if not abs(options.drift_ppm) <= 5000.0:
        raise SampleError("The force recorder's clock can be off by at most 5000 ppm.")
    if not -600.0 <= options.offset_s < options.duration_s - 1.0:
        raise SampleError("The force recorder must be started before the last second of footage.")


def _prepare(out_dir: Path) -> None:
    """Make the folder; refuse to write over files that no sample left there."""
    if out_dir.exists() and not out_dir.is_dir():
        raise SampleError(f"{out_dir.name} is a file; name a folder for the sample.")
    try:
        out_dir.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SampleError(f"The folder {out_dir.name} cannot be made: {_reason(error)}.") from None
    there = [name for name in (FOOTAGE, FORCE, TRUTH) if (out_dir / name).exists()]
    if there and not _is_sample(out_dir / TRUTH):
        raise SampleError(
            f"{out_dir.name} already holds {there[0]}, which is no sample of ours; "
            "nothing was written, name another folder."
        )


def _is_sample(truth: Path) -> bool:
    from samples.truth import FORMAT

    try:
        document = json.loads(truth.read_text("utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(document, dict) and document.get("format") == FORMAT


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
