from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from analysis.clocks.alignment import Alignment
from app.media.encode import ClipWriter
from app.media.video import VideoFile
from app.prepared.reference_strokes import AROUND_S, ensure_simulated_reference, keep_stroke
from app.review.parts.blur import new_region
from app.review.parts.reference import Reference
from app.review.parts.state import ReviewState
from app.review.recordings import refer
from app.review.references import list_references, remove_reference
from app.review.values.errors import ReviewError
from app.review.values.stroke_ref import StrokeRef
from app.submission.resolving import Resolved, resolve, stroke_ref
from samples.submission import small_sample
from tests.helpers.clips import number_in, numbered
from tests.helpers.reviews import write_review
from tests.helpers.submissions import submission_of

FPS = 20


@pytest.fixture(scope="module")
def coach(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ReviewState]:
    folder = tmp_path_factory.mktemp("coach")
    with ClipWriter(folder / "film.mp4", 320, 180) as film:
        for i in range(6 * FPS):
            film.add(numbered(i), i / FPS)
        film.finish(6.0)
    time_s = np.arange(0.0, 12.0, 0.01)
    force = sum(
        500.0 * np.sin(np.pi * np.clip((time_s - c) / 0.9, 0.0, 1.0)) for c in (0.5, 3, 5.5, 8)
    )
    rows = "".join(f"{t:.2f},{f:.2f}\n" for t, f in zip(time_s, force, strict=True))
    (folder / "force.csv").write_text("time_s,force_N\n" + rows)
    path = folder / "a.review"
    state = ReviewState(
        video=refer(folder / "film.mp4", "video", path),
        trace=refer(folder / "force.csv", "trace", path),
        alignment=Alignment(-1.0, 0.0, 0.01, "by hand"),
    )
    write_review(path, state)
    return path, state


STROKE = StrokeRef("", 2.05, 2.95, 4.55, "now")


def said(stroke: StrokeRef) -> Reference:
    times = (stroke.catch_s, stroke.finish_s, stroke.next_catch_s)
    return Reference("Good catch", "left", 24.0, "club", "", *times)


def test_what_is_kept_stands_alone_frame_for_frame(
    coach: tuple[Path, ReviewState], tmp_path: Path
) -> None:
    path, state = coach
    originals = {p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in path.parent.iterdir()}
    found = resolve(STROKE, state, path, None)
    assert found.force_stroke is not None and found.force_stroke.index == 1
    library = tmp_path / "references"
    kept = keep_stroke(library, found, said(STROKE))
    assert originals == {
        p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in path.parent.iterdir()
    }

    again = resolve(kept.stroke, ReviewState(), tmp_path / "other.review", library)
    assert again.video is not None and again.video.parent == library
    first = 31  # the frame on screen half a second before the catch at 2.05 s
    with VideoFile.open(again.video) as film:
        assert [number_in(film.frame_rgb(i)) for i in (0, 7, 40)] == [
            first,
            first + 7,
            first + 40,
        ]
        assert len(film.index) == round((4.55 + AROUND_S - 1.55) * FPS) + 1
        assert not film.has_sound
    assert kept.reference.catch_s == pytest.approx(2.05 - first / FPS)
    # The same stroke of the same force, on the new clock.
    assert again.force_stroke is not None and again.force_stroke.index == 1
    assert again.clock.trace_time(kept.reference.catch_s) == pytest.approx(
        state.alignment.trace_time(STROKE.catch_s)
    )


def test_a_hidden_face_stays_hidden_in_the_library(
    coach: tuple[Path, ReviewState], tmp_path: Path
) -> None:
    path, state = coach
    region = new_region(2.0, 160.0, 90.0, 500.0, 300.0)
    found = resolve(STROKE, replace(state, blurs=(region,)), path, None)
    kept = keep_stroke(tmp_path / "lib", found, said(STROKE))
    assert kept.state.blurs == (), "it is in the pixels"
    with (
        VideoFile.open(kept.path.with_suffix(".mp4")) as hidden,
        VideoFile.open(path.parent / "film.mp4") as plain,
    ):
        assert hidden.frame_rgb(5).std() < 0.7 * plain.frame_rgb(36).std()


def test_a_stroke_without_footage_is_refused_and_nothing_left_behind(
    coach: tuple[Path, ReviewState], tmp_path: Path
) -> None:
    path, state = coach
    found = resolve(STROKE, replace(state, video=None), path, None)
    with pytest.raises(ReviewError, match="needs footage"):
        keep_stroke(tmp_path / "lib", found, said(STROKE))
    broken = tmp_path / "broken.mp4"
    broken.write_bytes(b"no film")
    sent = submission_of(state, video=broken)
    with pytest.raises(ReviewError, match="not kept as a reference"):
        keep_stroke(tmp_path / "lib", Resolved(STROKE, sent), said(STROKE))
    assert list((tmp_path / "lib").iterdir()) == []


def test_the_simulated_stroke_is_there_at_first_and_not_again_once_removed(tmp_path: Path) -> None:
    library = tmp_path / "references"
    kept = ensure_simulated_reference(library)
    assert kept is not None
    assert ensure_simulated_reference(library) is None
    assert list_references(library).kept == (kept,)
    found = resolve(kept.stroke, ReviewState(), tmp_path / "a.review", library)
    assert found.force_stroke is not None and found.piece is not None
    assert found.force_stroke == found.piece.typical
    assert kept.reference.rate_spm == pytest.approx(20.0, rel=0.02)
    assert sum(p.stat().st_size for p in library.iterdir()) < 600_000
    remove_reference(library, kept.id)
    assert ensure_simulated_reference(library) is None


def test_moved_footage_is_found_by_size_and_hash_whatever_its_name(
    coach: tuple[Path, ReviewState], tmp_path: Path
) -> None:
    path, state = coach
    folder = tmp_path / "moved"
    (folder / "sub").mkdir(parents=True)
    (folder / "sub" / "renamed.mp4").write_bytes((path.parent / "film.mp4").read_bytes())
    (folder / "b.review").write_bytes(path.read_bytes())
    other = resolve(replace(STROKE, source="moved/b.review"), state, tmp_path / "a.review", None)
    assert other.video == folder / "sub" / "renamed.mp4"
    assert other.piece is None and "force.csv" in other.remarks[0]

    (folder / "sub" / "renamed.mp4").write_bytes(b"x" * state.video.size)  # type: ignore[union-attr]
    with pytest.raises(ReviewError, match=r"film\.mp4 of b\.review is not where it was"):
        resolve(replace(STROKE, source="moved/b.review"), state, tmp_path / "a.review", None)


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("gone.review", "choose it again"),
        ("0" * 32, "no longer in the library"),
        ("x" * 5000, "choose it again"),
        ("a\0b", "choose it again"),
        (".", "choose it again"),
    ],
)
def test_what_is_gone_is_named(tmp_path: Path, source: str, words: str) -> None:
    with pytest.raises(ReviewError, match=words):
        resolve(replace(STROKE, source=source), ReviewState(), tmp_path / "a.review", tmp_path)


def test_an_unchecked_line_up_gives_no_force(coach: tuple[Path, ReviewState]) -> None:
    path, state = coach
    found = resolve(STROKE, replace(state, alignment=Alignment()), path, None)
    assert found.force_stroke is None and "lined up" in found.remarks[0]


def test_a_stroke_of_the_trace_and_back(coach: tuple[Path, ReviewState]) -> None:
    path, state = coach
    piece = resolve(STROKE, state, path, None).piece
    assert piece is not None
    ref = stroke_ref(piece.strokes[2], state, label="third")
    assert resolve(ref, state, path, None).force_stroke == piece.strokes[2]
    with pytest.raises(ReviewError, match="no next catch"):
        stroke_ref(piece.strokes[-1], state)


def test_the_sample_can_be_compared_with_the_simulated_reference(tmp_path: Path) -> None:
    sample = small_sample()
    path = tmp_path / "s.review"
    state = ReviewState(
        trace=refer(sample.force, "trace", path), alignment=Alignment(3.37, 40.0, 0.0, "by hand")
    )
    kept = ensure_simulated_reference(tmp_path / "lib")
    assert kept is not None
    right = resolve(kept.stroke, state, path, tmp_path / "lib")
    assert right.piece is not None and len(right.piece.strokes) >= 5
