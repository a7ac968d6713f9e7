"""The recordings themselves in a bundle, where the coach ticked it: under names of our own."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import Path

from analysis.force.trace import FloatArray, ForceTrace
from app.bundle.sources.recordings import Sources
from app.bundle.wording.table_text import number, table_csv
from app.bundle.wording.text import cell, one_line
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.parts.state import ReviewState
from app.submission.shown_signals import ShownSignal


def with_originals(
    state: ReviewState,
    sources: Sources,
    folder: Path,
    words: Words,
    cancelled: Callable[[], bool] | None,
    shown: Sequence[ShownSignal] = (),
) -> tuple[str, ...]:
    """Copy footage and force into the folder; return what to say about it.

    Footage is copied without what the phone wrote beside picture and sound. It is left out where
    a face is hidden in the rest, for it would show that face. Of the force recording go time,
    force, position and the signals the coach shows: another column, or a line above them, can hold
    a name or a place that nobody saw.

    Parameters
    ----------
    shown : the further signals the coach ticked

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    if not state.sending.include_originals:
        return ()
    remarks = []
    place = folder / "originals"
    place.mkdir()
    if sources.video is not None:
        if state.blurs:
            remarks.append(words["original_hidden"])
        else:
            for number, film in enumerate(sources.reel, 1):
                name = "footage" if number == 1 else f"footage-{number}"
                remarks += _footage(film.path, place, name, words, cancelled)
    if sources.trace is not None and sources.piece is not None:
        text = _force_csv(sources.piece.trace, shown)
        (place / "force.csv").write_text(text, "utf-8", newline="")
    if not any(place.iterdir()):
        place.rmdir()
    return tuple(remarks)


def _force_csv(trace: ForceTrace, shown: Sequence[ShownSignal]) -> str:
    columns: dict[str, FloatArray] = {"time_s": trace.time_s, "force_N": trace.force_n}
    if trace.position_m is not None:
        columns["position_m"] = trace.position_m
    for signal in shown:
        columns[cell(one_line(signal.words))] = signal.signal.at(trace.time_s)
    rows = zip(*(values.tolist() for values in columns.values()), strict=True)
    said = ([number(v) if math.isfinite(v) else "" for v in row] for row in rows)
    return table_csv(tuple(columns), said)


def _footage(
    video: Path, place: Path, name: str, words: Words, cancelled: Callable[[], bool] | None
) -> list[str]:
    from app.media.clean_copy import clean_name, copy_without_metadata

    try:
        copy_without_metadata(video, place / f"{name}{clean_name(video)}", None, cancelled)
    except MediaError:
        return [words["original_failed"]]
    return []
