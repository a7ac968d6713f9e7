"""The command `body`, and the body of a film for the commands that find and draft."""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.commands.answer import Answer, CommandError, progress
from app.commands.options import MACHINE_POINTS
from app.commands.tables import table

if TYPE_CHECKING:
    from analysis.body.following.follow import Followed
    from analysis.body.lengths import KnownLength
    from analysis.body.piece import BodyAnalysis
    from analysis.body.track import Click
    from analysis.body.view import View
    from app.submission.loaded_film import FilmFacts
    from app.submission.submission import LoadedSubmission

ANGLES = {
    "knee": "knee_rad", "hip": "hip_rad", "elbow": "elbow_rad", "trunk_lean": "trunk_lean_rad",
    "shank": "shank_rad",
}  # fmt: skip


def body(options: argparse.Namespace) -> Answer:
    """Follow the points of the body in a film, and say what they tell."""
    from analysis.body.piece import analyse_body
    from app.body.points_file import write_points
    from app.body.viewing import view_of

    if not options.output.absolute().parent.is_dir():
        folder = options.output.absolute().parent.name
        raise CommandError(f"There is no folder {folder}; make it first.")
    found, facts = _followed(options.video, _clicks(options, ("hip", "head")))
    machine = _clicks(options, MACHINE_POINTS)
    if machine:
        found = _with_machine(options.video, found, machine)
    track = found.track
    size = facts.width, facts.height
    view = view_of(track, size, options.stature, machine, options.rail)
    seen = analyse_body(track, view, options.stature, _known(options, view))
    write_points(options.output, track)
    data = body_data(seen, facts.fps, view)
    return Answer({"points": str(options.output), **data}, _text(options.output, seen))


def _known(options: argparse.Namespace, view: View) -> KnownLength | None:
    """The measured length of the rail, where both of its ends were clicked."""
    if options.rail is None or options.stretcher is None or options.rail_end is None:
        return None
    from analysis.body.lengths import KnownLength

    if view.corrects and view.distance_m is not None:  # in pixels of a square camera
        return KnownLength(options.rail, options.rail * view.focal / view.distance_m)
    return KnownLength(options.rail, math.dist(options.stretcher, options.rail_end))


def body_data(seen: BodyAnalysis, fps: float, view: View) -> dict[str, Any]:
    """Give view, strokes, angles, order and remarks ready for JSON."""
    return {
        "fps": round(fps, 4),
        "view": {
            "yaw_deg": _degrees(view.yaw_rad),
            "tilt_deg": _degrees(view.tilt_rad),
            "distance_m": None if view.distance_m is None else round(view.distance_m, 2),
        },
        "flywheel": seen.flywheel,
        "strokes": [
            {
                "index": stroke.index,
                "hands_turn_s": round(stroke.catch_s, 4),
                "finish_turn_s": round(stroke.finish_s, 4),
                "next_turn_s": None
                if stroke.next_catch_s is None
                else round(stroke.next_catch_s, 4),
                "remark": stroke.remark,
                "measures": dict(measures),
            }
            for stroke, measures in zip(seen.strokes, seen.measures, strict=True)
        ],
        "angles": _angles(seen),
        "order": None if seen.order is None else asdict(seen.order),
        "remarks": list(seen.remarks),
    }


def with_body(
    sent: LoadedSubmission, options: argparse.Namespace
) -> tuple[LoadedSubmission, tuple[str, ...]]:
    """Give a submission with what its film shows of the body, and what there is to say about it.

    Points that are named are read, also beside a force; what a review keeps counts. A film alone is
    followed here, and its review keeps what was read, so that the window goes on with the same
    points; where that cannot be done the submission stays as it was.
    """
    from app.body.errors import BodyError
    from app.body.points_file import read_points
    from app.body.viewing import view_of
    from app.submission.body import loaded_body

    film = sent.film
    if film is None or film.path is None:
        return sent, ()
    if options.points is not None:
        track = read_points(options.points)
    elif sent.piece is not None or sent.body is not None:
        return sent, ()
    else:
        try:
            return _kept(sent, _followed(film.path, ())[0], options.stature), ()
        except BodyError as error:
            return sent, (str(error),)
    facts = film.facts
    view = None if facts is None else view_of(track, (facts.width, facts.height), options.stature)
    return replace(sent, body=loaded_body(film.ref, track, options.stature, view)), ()


def _kept(sent: LoadedSubmission, found: Followed, stature_m: float | None) -> LoadedSubmission:
    """The same submission with what was followed, as its review keeps it."""
    from app.review.parts.body import SetBody, SetStature
    from app.review.parts.body_readings import readings_of
    from app.submission.body import body_of

    state = SetBody(readings_of(found.observed)).apply(SetStature(stature_m).apply(sent.state))
    return sent.in_state(state).with_body(body_of(state))


def _degrees(angle_rad: float | None) -> float | None:
    return None if angle_rad is None else round(math.degrees(angle_rad), 2)


def _followed(path: Path, clicks: Sequence[Click]) -> tuple[Followed, FilmFacts]:
    from app.body.track_film import followed_film
    from app.submission.loaded_film import film_facts

    facts = film_facts(path)
    show = progress()
    said = None if show is None else lambda share: show(share, "Following the body")
    return followed_film(path, clicks, None, said), facts


def _with_machine(path: Path, found: Followed, clicks: Sequence[Click]) -> Followed:
    """The same with handle, seat and what stands still."""
    from analysis.body.following.follow import Followed, refine
    from app.body.machine import machine_followed

    show = progress()

    def said(share: float) -> None:
        if show is not None:
            show(share, "Following the machine")

    observed = machine_followed(path, found.observed, clicks, lambda: False, said)
    return Followed(refine(observed, clicks), observed)


def _clicks(options: argparse.Namespace, points: Sequence[str]) -> tuple[Click, ...]:
    from analysis.body.track import Click

    placed = ((point, getattr(options, point)) for point in points)
    return tuple(Click(options.at, name, *at) for name, at in placed if at is not None)


def _angles(seen: BodyAnalysis) -> dict[str, dict[str, object]]:
    """Mean of each angle over the film, and the deviation its points leave: degrees."""
    import numpy as np

    found: dict[str, dict[str, object]] = {}
    for name, key in ANGLES.items():
        values = seen.series.values(key)
        known = np.isfinite(values)
        sd = seen.series.sd.get(key)
        doubt = None if sd is None or not known.any() else float(np.nanmedian(sd[known]))
        found[name] = {
            "unit": "deg",
            "mean": round(float(np.degrees(values[known].mean())), 2) if known.any() else None,
            "sd": None
            if doubt is None or not np.isfinite(doubt)
            else round(float(np.degrees(doubt)), 2),
        }
    return found


def _text(output: Path, seen: BodyAnalysis) -> str:
    rows = [
        (
            stroke.index + 1,
            f"{stroke.catch_s:.2f}",
            f"{stroke.finish_s:.2f}",
            "–" if measures.rate_spm is None else f"{measures.rate_spm:.1f}",
            "–" if measures.drive_s is None else f"{measures.drive_s:.2f}",
            "–" if measures.rhythm is None else f"{measures.rhythm:.2f}",
            stroke.remark,
        )
        for stroke, measures in zip(seen.strokes, seen.measures, strict=True)
    ]
    headings = ("stroke", "hands turn s", "finish turn s", "rate /min", "drive s", "rhythm", "")
    lines = [f"Points: {output}"]
    if rows:
        lines += ["Strokes, from the picture:", table(headings, rows)]
    if seen.order is not None:
        from app.scene.order_figure import order_words

        lines.append(order_words(seen.order))
    return "\n".join([*lines, *seen.remarks])
