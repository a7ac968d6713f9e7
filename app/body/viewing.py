"""How the camera of a film stood, from what somebody said and what was followed."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from analysis.body.track import BodyTrack
    from analysis.body.view import View


def view_of(track: BodyTrack, size_px: tuple[int, int], stature_m: float | None = None) -> View:
    """Give the view as far as it is known; without a stature its distance is not.

    Parameters
    ----------
    size_px : width and height of the upright picture
    """
    from analysis.body.following.estimate_view import ViewError, estimate_view
    from analysis.body.view import View

    try:
        return estimate_view(track, size_px, stature_m=stature_m)
    except ViewError:
        return View(size_px=size_px)
