"""Keeping a stroke in the library of reference strokes: its own clip, its force, its review."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from analysis.clocks.alignment import Alignment
from app.media.errors import MediaError
from app.review.parts.reference import Reference
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER, RecordingAccess, refer
from app.review.references import (
    KeptReference,
    add_reference,
    new_reference_id,
    reference_path,
    was_removed,
)
from app.review.values.errors import ReviewError
from app.submission.load import Said, begin_with
from app.submission.looking import find_recording
from app.submission.resolving import Resolved, stroke_ref

AROUND_S: Final = 0.5  # before the catch and after the next one, so that a clip can lead in
SIMULATED_ID: Final = "000000000000000000000051a1e70001"


@dataclass(frozen=True)
class _Material:
    """What goes into the library: footage from `from_s` to `to_s`, force whole."""

    video: Path
    from_s: float
    to_s: float
    trace: Path | None
    state: ReviewState


def keep_stroke(
    library: Path,
    resolved: Resolved,
    reference: Reference,
    cancelled: Callable[[], bool] | None = None,
    access: RecordingAccess = STRANGER,
) -> KeptReference:
    """Keep a stroke in the library. The recordings it comes from are only read.

    Its footage is written anew from half a second before the catch to half a second after the next
    catch, each frame at its own time, with faces hidden for good where the coach hides them, and
    without sound; its force recording is copied whole, so that the spread from stroke to stroke
    stays known.

    Parameters
    ----------
    reference : what the coach says of it, in the times of the footage it comes from
    access : what may be read on this machine

    Raises
    ------
    ReviewError
        There is no footage, it cannot be read, or the library cannot be written; nothing is left
        behind.
    """
    if resolved.video is None:
        raise ReviewError("A reference stroke needs footage; this stroke has none.")
    trace = None
    if resolved.state.trace is not None and resolved.piece is not None:
        trace = find_recording(resolved.state.trace, resolved.review_path, cancelled, access)
    material = _Material(
        resolved.video,
        reference.catch_s - AROUND_S,
        reference.next_catch_s + AROUND_S,
        trace,
        resolved.state,
    )
    return _keep(library, new_reference_id(), material, reference, cancelled)


def ensure_simulated_reference(library: Path) -> KeptReference | None:
    """Put the simulated stroke of the program into a library, unless it is or was there.

    Returns
    -------
    KeptReference or None
        What was added.

    Raises
    ------
    ReviewError, SampleError
        It is missing from the installation, or the library cannot be written.
    """
    from samples.submission import REFERENCE, reference_sample

    place = reference_path(library, SIMULATED_ID)
    if place.exists() or was_removed(library, SIMULATED_ID):
        return None
    footage, force = reference_sample()
    sent = begin_with(footage, force, place, Said())
    assert sent.piece is not None and sent.piece.typical is not None
    known = Alignment(REFERENCE.offset_s, REFERENCE.drift_ppm, 0.0, "as simulated")
    state = replace(sent.state, alignment=known)
    seen = stroke_ref(sent.piece.typical, state)
    reference = Reference(
        "Simulated stroke at 20 a minute",
        "left",
        60.0 / (seen.next_catch_s - seen.catch_s),
        "simulated, without a fault",
        "Legs, then trunk, then arms; the way back in the other order. Nobody rows quite so.",
        seen.catch_s,
        seen.finish_s,
        seen.next_catch_s,
    )
    material = _Material(
        footage, seen.catch_s - AROUND_S, seen.next_catch_s + AROUND_S, force, state
    )
    return _keep(library, SIMULATED_ID, material, reference, None)


def is_simulated(reference_id: str) -> bool:
    """Whether a stroke of the library is the program's own, which nobody rowed."""
    return reference_id == SIMULATED_ID


def _keep(
    library: Path,
    reference_id: str,
    material: _Material,
    reference: Reference,
    cancelled: Callable[[], bool] | None,
) -> KeptReference:
    review = reference_path(library, reference_id)
    made: list[Path] = []
    try:
        library.mkdir(parents=True, exist_ok=True)
        clip = review.with_suffix(".mp4")
        made.append(clip)
        first_s = _cut(material, clip, cancelled)
        trace = None
        if material.trace is not None and material.state.trace is not None:
            copy = review.with_suffix(material.trace.suffix.lower() or ".csv")
            made.append(copy)
            shutil.copyfile(material.trace, copy)
            trace = refer(copy, "trace", review, material.state.trace.mapping)
        alignment = material.state.alignment
        state = ReviewState(
            video=refer(clip, "video", review),
            trace=trace,
            alignment=replace(alignment, offset_s=alignment.offset_s - first_s),
            turn=material.state.turn,
        )
        return add_reference(library, reference_id, state, _later(reference, -first_s))
    except (ReviewError, MediaError, OSError) as error:
        for path in made:
            path.unlink(missing_ok=True)
        if isinstance(error, ReviewError):
            raise
        why = (error.strerror or str(error)).lower() if isinstance(error, OSError) else str(error)
        raise ReviewError(f"The stroke was not kept as a reference: {why}") from error


def _cut(material: _Material, out: Path, cancelled: Callable[[], bool] | None) -> float:
    """Write the frames of the span at full size, silent; give the time of the first one.

    Faces that the coach hides stay hidden in the copy: a reference stroke is shown to others.
    """
    from app.bundle.sources.film import open_film
    from app.media.encode import ClipWriter

    with open_film(material.video, material.state) as film:
        times = film.index.time_s
        first, last = film.index.at(material.from_s), film.index.at(material.to_s)
        size = (film.width // 2 * 2, film.height // 2 * 2)
        with ClipWriter(out, *size) as clip:
            for i in range(first, last + 1):
                if cancelled is not None and cancelled():
                    raise MediaError("it was stopped.")
                image = film.frame_rgb(i)[: size[1], : size[0]]
                clip.add(image, float(times[i] - times[first]))
            end_s = float(times[last + 1]) if last + 1 < len(times) else film.index.end_s
            clip.finish(end_s - float(times[first]))
        return float(times[first])


def _later(reference: Reference, by_s: float) -> Reference:
    return replace(
        reference,
        catch_s=reference.catch_s + by_s,
        finish_s=reference.finish_s + by_s,
        next_catch_s=reference.next_catch_s + by_s,
    )
