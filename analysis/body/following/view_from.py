"""How the camera stood, from what a person placed on the picture and what was followed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from analysis.body.following.estimate_view import ViewError, estimate_view
from analysis.body.following.floor_lines import Line
from analysis.body.following.observed import nearest_frames, steadied
from analysis.body.track import FEET, FIXED_POINTS, BodyTrack, Click
from analysis.body.view import View
from analysis.signals.signal import FloatArray


def view_from(
    track: BodyTrack,
    clicks: Sequence[Click],
    picture_px: tuple[int, int] | None,
    *,
    stature_m: float | None = None,
    rail_m: float | None = None,
) -> View | None:
    """Estimate the view; None where the size of the picture is not known.

    Parameters
    ----------
    clicks : of all points; those of `FIXED_POINTS` are used
    rail_m : measured from stretcher to rail end, metres
    """
    if picture_px is None:
        return None
    places = fixed_places(track, clicks)
    lines: list[Line] = [
        (places[near], places[far]) for near, far in FEET if near in places and far in places
    ]
    length = None
    if rail_m is not None and "stretcher" in places and "rail_end" in places:
        length = (places["stretcher"], places["rail_end"], rail_m)
    # A machine nobody placed anything of is looked at as if the camera stood square.
    try:
        return estimate_view(track, picture_px, stature_m=stature_m, length=length, feet=lines)
    except ViewError:
        return estimate_view(track, picture_px, feet=lines)


def fixed_places(track: BodyTrack, clicks: Sequence[Click]) -> Mapping[str, tuple[float, float]]:
    """Where the fixed points were placed, pixels of the first frame; the mean of several clicks."""
    found: dict[str, list[FloatArray]] = {}
    frames = nearest_frames(track.time_s, np.array([c.time_s for c in clicks]))
    for click, frame in zip(clicks, frames, strict=True):
        if click.point not in FIXED_POINTS or frame < 0:
            continue
        at = np.array([[[click.x_px, click.y_px]]])
        if track.steady is not None:
            at = steadied(at, track.steady[frame : frame + 1])
        found.setdefault(click.point, []).append(at[0, 0])
    means = {name: np.mean(rows, axis=0) for name, rows in found.items()}
    return {name: (float(x), float(y)) for name, (x, y) in means.items()}
