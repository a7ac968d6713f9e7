"""What a mark can be told by in a picture: the body, the machine, or the picture's own size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from analysis.body.track import POINTS
from app.review.parts.marks import Point

if TYPE_CHECKING:
    from analysis.body.track import BodyTrack
    from app.submission.submission import LoadedSubmission

NEAR_S: Final = 0.1  # a moment this far from any followed frame has no points of its own
LEAST_SHANK_PX: Final = 8.0  # of less no length can be told
_RAIL: Final = ("stretcher", "rail_end")


@dataclass(frozen=True)
class SeenFrame:
    """The picture of one moment.

    Attributes
    ----------
    size_px : width and height of the upright picture
    points : of the body at that moment by name, pixels; none where nobody followed it
    shank_px : from ankle to knee over the whole film; None where that is not known
    facing : 1 where the feet lie to the right of the hip, else -1
    rail : stretcher and end of the rail, pixels; None where these were not placed
    """

    size_px: tuple[float, float]
    points: Mapping[str, Point] = field(default_factory=dict)
    shank_px: float | None = None
    facing: int = 1
    rail: tuple[Point, Point] | None = None

    @property
    def has_body(self) -> bool:
        """Whether places can be told by the body."""
        return bool(self.points) and self.shank_px is not None


def frame_at(sent: LoadedSubmission, moment_s: float) -> SeenFrame | None:
    """Give the picture of a moment of a review; None where there is no film.

    Raises
    ------
    MediaError
        The film was not opened yet and cannot be.
    """
    facts = None if sent.film is None else sent.film.facts
    if facts is None:
        return None
    size = (float(facts.width), float(facts.height))
    rail = _rail_of(sent)
    if sent.body is None:
        return SeenFrame(size, rail=rail)
    return _with_body(SeenFrame(size, rail=rail), sent.body.track, moment_s)


def _with_body(frame: SeenFrame, track: BodyTrack, moment_s: float) -> SeenFrame:
    if not len(track.time_s):
        return frame
    row = int(np.argmin(np.abs(track.time_s - moment_s)))
    ankle, hip = track.of("ankle"), track.of("hip")
    shanks = np.hypot(*(track.of("knee") - ankle).T)
    ahead = (ankle - hip)[:, 0]
    known = np.isfinite(shanks) & np.isfinite(ahead)
    is_near = abs(float(track.time_s[row]) - moment_s) <= NEAR_S
    if not known.any() or not is_near:
        return frame
    shank = float(np.median(shanks[known]))
    if shank < LEAST_SHANK_PX:
        return frame
    at = {
        name: (float(x), float(y))
        for name, (x, y) in zip(POINTS, track.xy_px[row], strict=True)
        if np.isfinite(x) and np.isfinite(y)
    }
    facing = 1 if float(np.median(ahead[known])) >= 0.0 else -1
    return SeenFrame(frame.size_px, at, shank, facing, frame.rail)


def _rail_of(sent: LoadedSubmission) -> tuple[Point, Point] | None:
    """Where the coach placed both ends of the rail; the middle of several clicks."""
    found = []
    for name in _RAIL:
        clicks = [(c.x_px, c.y_px) for c in sent.state.body_clicks if c.point == name]
        if not clicks:
            return None
        x, y = np.mean(clicks, axis=0)
        found.append((float(x), float(y)))
    stretcher, rail_end = found
    is_long = np.hypot(rail_end[0] - stretcher[0], rail_end[1] - stretcher[1]) >= LEAST_SHANK_PX
    return (stretcher, rail_end) if is_long else None
