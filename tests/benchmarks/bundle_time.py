"""How long a bundle of three notes with clips takes, against the bare encoding of the same frames.

    python -m tests.benchmarks.bundle_time [--only QUALITY] [--rounds N] [--notes N] [FILM]

Without a film a 1080p one of 30 frames a second is made, with moving detail and a camera's noise,
tagged as phones do.
`bare` encodes the very pictures of the clips from memory, as raw frames of the clips' size, with
the same settings; nobody can cut clips from a film at that price, for the film has to be decoded.
`decode` does that alone, and shrinks the pictures. `ffmpeg` is the program of that name cutting the
same clips, one after the other, with the same settings: decoding, shrinking and encoding beside
each other. `new` writes the bundle with nothing made before, `again` with all of it. Everything is
measured in the same run, in turn, and the least of the rounds is taken. The first line of a quality
is the time on the clock, the second that of the processors, and the table at the end says how large
the bundles are.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
from av.video.frame import VideoFrame

from analysis.clocks.alignment import Alignment
from analysis.force.intake import read_trace
from analysis.force.piece import analyse
from app.bundle.pictures.clips import span_of
from app.bundle.pictures.quality import QUALITY
from app.bundle.write import WriteOptions, write_bundle
from app.media.clip_frames import ClipFrames, clip_size
from app.media.encode import ClipWriter
from app.media.orientation import Turn
from app.media.video import VideoFile
from app.review.parts.findings import Decision
from app.review.parts.notes import Note
from app.review.parts.sending import QUALITIES, SendingPlan
from app.review.parts.state import ReviewState
from app.review.recordings import refer

Clip = list[tuple[VideoFrame, float]]  # pictures and their times
NOTES, STROKE_S, FIRST_S = 3, 2.2, 0.6
ROUNDS = 1


def main() -> None:
    """Measure on a film of our own, or on the one named."""
    parser = argparse.ArgumentParser()
    parser.add_argument("film", type=Path, nargs="?")
    parser.add_argument("--only", choices=QUALITIES)
    parser.add_argument("--rounds", type=int, default=ROUNDS)
    parser.add_argument("--notes", type=int, default=NOTES)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        film = _film(place, options.notes) if options.film is None else _beside(options.film, place)
        qualities = [options.only] if options.only else list(QUALITIES)
        state = _review(place, film, options.notes)
        _measure(place, state, film, qualities, options.rounds)


def _film_s(notes: int) -> float:
    """As long as the strokes need, and no longer: making it takes its time too."""
    return FIRST_S + STROKE_S * (notes + 0.5)


def _film(place: Path, notes: int) -> Path:
    path, long_s = place / "film.mp4", _film_s(notes)
    subprocess.run(
        ["ffmpeg", "-v", "error", "-f", "lavfi", "-i",
         f"testsrc2=s=1920x1080:r=30:d={long_s},gblur=sigma=1.5,noise=alls=3:allf=t",
         "-f", "lavfi", "-i", f"sine=f=220:d={long_s}",
         "-c:v", "libx264", "-preset", "veryfast", "-b:v", "16M", "-g", "30", "-bf", "2",
         "-pix_fmt", "yuv420p", "-colorspace", "bt709", "-color_primaries", "bt709",
         "-color_trc", "bt709", "-color_range", "tv", "-c:a", "aac", str(path)],
        check=True,
    )  # fmt: skip
    return path


def _beside(film: Path, place: Path) -> Path:
    """A copy beside the review: from elsewhere a recording is read only if the coach chose it."""
    return Path(shutil.copyfile(film, place / f"film{film.suffix}"))


def _review(place: Path, film: Path, count: int) -> ReviewState:
    """Notes, each on a stroke of its own, a third of them findings with a strip."""
    time_s = np.arange(0.0, _film_s(count), 0.01)
    beat = np.clip((time_s - FIRST_S) % STROKE_S / 0.8, 0.0, 1.0)
    force_n = np.where(time_s < FIRST_S, 0.0, 600.0 * np.sin(np.pi * beat))
    rows = "".join(f"{t:.2f},{max(f, 0):.2f}\n" for t, f in zip(time_s, force_n, strict=True))
    force = place / "force.csv"
    force.write_text("time_s,force_N\n" + rows, "utf-8")
    path = place / "bench.review"
    notes = tuple(
        Note(f"n{i}", FIRST_S + STROKE_S * i + 0.4, f"What to do, number {i}", phase="drive")
        for i in range(count)
    )
    return ReviewState(
        title="Settings",
        video=refer(film, "video", path),
        trace=refer(force, "trace", path),
        alignment=Alignment(0.0, 0.0, 0.01, "by hand"),
        notes=notes,
        decisions=tuple(Decision(f"code-{i}", True, f"n{3 * i}") for i in range(-(-count // 3))),
    )


def _spans(state: ReviewState, place: Path, film_s: float) -> list[tuple[float, float]]:
    piece = analyse(read_trace(place / "force.csv"))
    found = []
    for note in state.notes:
        stroke = next(
            s for s in piece.strokes
            if s.catch_s <= note.video_s < (s.next_catch_s or s.finish_s)
        )  # fmt: skip
        span = span_of(note, stroke, lambda t: t, film_s)
        found.append((span.from_s, span.to_s))
    return found


def _clips(
    film: Path, spans: list[tuple[float, float]], name: str
) -> tuple[tuple[int, int], list[Clip]]:
    """The pictures of all clips, as the encoder gets them."""
    with VideoFile.open(film) as video:
        size = clip_size(video, Turn(), QUALITY[name].height_px)
        frames = ClipFrames(video, size)
        clips = []
        for start_s, end_s in spans:
            first, last = video.index.at(start_s), video.index.at(end_s - 1e-4)
            times = video.index.time_s
            clips.append(
                [
                    (frames.frame(i), max(float(times[i]) - start_s, 0.0))
                    for i in range(first, last + 1)
                ]
            )
    return size, clips


def _encode(place: Path, size: tuple[int, int], clips: list[Clip], name: str) -> None:
    for number, clip in enumerate(clips):
        with ClipWriter(place / f"bare{number}.mp4", *size, crf=QUALITY[name].crf) as out:
            for frame, at_s in clip:
                out.add_frame(frame, at_s)
            out.finish(clip[-1][1] + 0.03)


def _decode(film: Path, spans: list[tuple[float, float]], size: tuple[int, int]) -> None:
    with VideoFile.open(film) as video:
        frames = ClipFrames(video, size)
        for start_s, end_s in spans:
            for i in range(video.index.at(start_s), video.index.at(end_s - 1e-4) + 1):
                frames.frame(i)


def _cut_by_program(
    place: Path, film: Path, spans: list[tuple[float, float]], size: tuple[int, int], name: str
) -> None:
    quality = QUALITY[name]
    scale = f"scale={size[0]}:{size[1]}:flags=bilinear"
    for start_s, end_s in spans:
        subprocess.run(
            ["ffmpeg", "-v", "error", "-y", "-ss", f"{start_s}", "-to", f"{end_s}", "-i", str(film),
             "-vf", scale, "-c:v", "libx264", "-preset", "veryfast", "-crf", str(quality.crf),
             "-threads:v", "4", "-g", "60", "-pix_fmt", "yuv420p", "-c:a", "aac", "-ac", "1",
             "-b:a", str(quality.sound_bps), "-movflags", "+faststart",
             str(place / "program.mp4")],
            check=True,
        )  # fmt: skip


def _spent_s() -> float:
    """Processor seconds of this process and of those it waited for."""
    own, theirs = (
        resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    return own.ru_utime + own.ru_stime + theirs.ru_utime + theirs.ru_stime


def _took(work: Callable[[], object]) -> tuple[float, float]:
    wall, spent = time.perf_counter(), _spent_s()
    work()
    return time.perf_counter() - wall, _spent_s() - spent


def _measure(
    place: Path, state: ReviewState, film: Path, qualities: list[str], rounds: int
) -> None:
    with VideoFile.open(film) as video:
        spans = _spans(state, place, video.duration_s)
    print(
        "quality   frames  bare s  decode s  ffmpeg s   new s  again s  "
        "new/bare  new/(bare+decode)  new/ffmpeg"
    )
    sizes = {name: _one_quality(place, state, film, spans, name, rounds) for name in qualities}
    print("\nquality    clips MB  stills MB  strips MB  bundle MB")
    for name, parts in sizes.items():
        print(f"{name:9s} " + "".join(f"{part:10.2f} " for part in parts))


def _one_quality(
    place: Path,
    state: ReviewState,
    film: Path,
    spans: list[tuple[float, float]],
    name: str,
    rounds: int,
) -> tuple[float, ...]:
    """Measure and print; give the megabytes of clips, stills, strips and all of it."""
    path = place / "bench.review"
    plan = SendingPlan(quality=name)
    runs: dict[str, list[tuple[float, float]]] = {
        k: [] for k in ("bare", "decode", "ffmpeg", "new", "again")
    }
    size, clips = _clips(film, spans, name)
    count = sum(map(len, clips))
    out = place / f"out-{name}"

    def write(round_: int) -> None:
        options = WriteOptions(plan=plan, clips=place / f"clips-{name}-{round_}")
        write_bundle(state, path, out, options=options)

    for _ in range(rounds):
        runs["bare"].append(_took(lambda: _encode(place, size, clips, name)))
    clips.clear()
    for round_ in range(rounds):
        runs["new"].append(_took(partial(write, round_)))
        runs["again"].append(_took(partial(write, round_)))
        runs["decode"].append(_took(lambda: _decode(film, spans, size)))
        runs["ffmpeg"].append(_took(lambda: _cut_by_program(place, film, spans, size, name)))
    for what, at in (("", 0), (" (processors)", 1)):
        bare, decode, program, new, again = (min(r[at] for r in runs[k]) for k in runs)
        print(
            f"{name:9s} {count:6d} {bare:7.2f} {decode:9.2f} {program:9.2f} {new:7.2f} "
            f"{again:8.2f} {new / bare:9.2f} {new / (bare + decode):18.2f} "
            f"{new / program:11.2f}{what}",
            flush=True,
        )
    folders = (out / "clips", out / "stills", out / "strips", out)
    return tuple(
        sum(p.stat().st_size for p in folder.rglob("*") if p.is_file()) / 1e6 for folder in folders
    )


if __name__ == "__main__":
    main()
