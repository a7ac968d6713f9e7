"""How the camera of a film stood, from what somebody said and what was followed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.body.track import BodyTrack, Click
    from analysis.body.view import View


def view_of(
    track: BodyTrack,
    size_px: tuple[int, int],
    stature_m: float | None = None,
    clicks: Sequence[Click] = (),
    rail_m: float | None = None,
) -> View:
    """Give the view as far as it is known; without a stature or a rail its distance is not.

    Parameters
    ----------
    size_px : width and height of the upright picture
    clicks : on the fixed points of the machine; without any, yaw and tilt are not known
    rail_m : from stretcher to rail end, metres
    """
    from analysis.body.following.view_from import view_from
    from analysis.body.view import View

    view = view_from(track, clicks, size_px, stature_m=stature_m, rail_m=rail_m)
    return view or View(size_px=size_px)
