"""How well films of one piece are laid on one clock.

Run with ``python -m tests.benchmarks.films_on_one_clock [SEED ...]``.

Painted pieces are encoded as a phone does, cut in three by the ffmpeg program, or filmed by a
second camera: mirrored, smaller, cropped, darker, with a microphone and a sound delay of its own.
What is printed is how far each film was laid from where it truly is, in ms.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from analysis.clocks.films import FilmFacts
from app.submission.laying import facts_of, placed
from app.submission.pieces import piece_of
from samples.submission import SampleOptions, make_submission
from tests.helpers.clips import run_ffmpeg

LENGTH_S = 75.0
CUTS = ((0.0, 26.0), (26.0, 50.0), (53.0, 75.0))  # three seconds are missing before the last
_CODED = ("-c:v", "libx264", "-preset", "veryfast", "-crf", "27", "-c:a", "aac")


@dataclass(frozen=True)
class Second:
    """A second camera.

    Attributes
    ----------
    starts_s, until_s : of the piece, what it films
    picture, sound : filters of the ffmpeg program
    """

    name: str
    starts_s: float
    until_s: float
    picture: str
    sound: str


SECONDS = (
    Second("other side", 7.3, 60.0, "hflip,scale=400:-2,eq=brightness=-0.1",
           "adelay=45,volume=0.4"),
    Second("near", 12.0, 70.0, "crop=iw*0.7:ih*0.8:iw*0.2:ih*0.1", "highpass=f=300,volume=2"),
    Second("aslant", 3.0, 40.0, "perspective=W*0.15:0:W:H*0.1:W*0.1:H:W*0.95:H*0.9,fps=25",
           "adelay=20,lowpass=f=2500,aecho=0.8:0.5:40:0.3"),
    Second("later half", 40.0, 75.0, "hflip", "adelay=10"),
)  # fmt: skip


def cut(film: Path, out: Path, start_s: float, end_s: float, *filters: str) -> Path:
    """Part of a film, encoded anew."""
    run_ffmpeg(
        "-i", film, "-ss", f"{start_s}", "-to", f"{end_s}", *_CODED, *filters, out
    )  # fmt: skip
    return out


def second_view(film: Path, out: Path, camera: Second) -> Path:
    """What a second camera makes of the same piece."""
    first = cut(film, out.with_name(f"plain-{out.name}"), camera.starts_s, camera.until_s)
    run_ffmpeg("-i", first, "-vf", camera.picture, "-af", camera.sound, *_CODED, out)
    return out


def tried(folder: Path, seed: int) -> None:
    """Cut one piece and film it twice; print how far each film was laid from its place."""
    options = SampleOptions(seed=seed, duration_s=LENGTH_S, width=480, height=270, crf=25)
    made = make_submission(folder, options)
    piece = piece_of(made.force)
    whole = facts_of(made.footage, piece.trace, piece.strokes)
    parts = [cut(made.footage, folder / f"part-{k}.mp4", *span) for k, span in enumerate(CUTS)]
    for force in (True, False):
        trace = piece.trace if force else None
        facts = [facts_of(path, trace, piece.strokes if force else ()) for path in parts]
        told(f"seed {seed}: cut in three, {'with' if force else 'without'} force", parts, facts,
             [start for start, _end in CUTS[1:]])  # fmt: skip
    for camera in SECONDS:
        path = second_view(made.footage, folder / f"{camera.name}.mp4", camera)
        facts = [whole, facts_of(path, piece.trace, piece.strokes)]
        told(f"seed {seed}: second view, {camera.name}", (made.footage, path), facts,
             [camera.starts_s])  # fmt: skip


def told(
    what: str, paths: Sequence[Path], facts: Sequence[FilmFacts], truth: Sequence[float]
) -> None:
    """Print how far each film was laid from its place."""
    by_path = dict(zip(paths[1:], truth, strict=True))
    for film in placed(paths, facts):
        error = 1000.0 * (film.place.offset_s - by_path[film.path])
        within = film.place.uncertainty_s
        sure = "sure" if film.place.sure else "NOT sure"
        print(
            f"{what}: {film.path.stem} {error:+.1f} ms, said "
            f"{'nothing' if within is None else f'±{1000 * within:.0f} ms'}, {film.place.how}, "
            f"{film.role}, {sure}",
            flush=True,
        )


def main() -> None:
    """Try a few pieces."""
    for seed in [int(a) for a in sys.argv[1:]] or [3, 4]:
        with tempfile.TemporaryDirectory() as folder:
            tried(Path(folder), seed)


if __name__ == "__main__":
    main()
