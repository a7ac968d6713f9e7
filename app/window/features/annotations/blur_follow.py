"""Following blurred faces through the footage: work for a job, away from the window."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from app.review.parts.blur import BlurKey, BlurRegion, gaps, thinned_keys, unsure_spans

if TYPE_CHECKING:
    from app.media.laid import Laid
    from app.media.regions.follow import Spot
    from app.media.video import VideoFile


@dataclass(frozen=True)
class Followed:
    """Where a face was followed to.

    Attributes
    ----------
    hand : the coach's places it started from
    """

    region_id: str
    hand: tuple[BlurKey, ...]
    keys: tuple[BlurKey, ...]
    unsure: tuple[tuple[float, float], ...]


def follow_regions(
    films: Sequence[Laid],
    regions: Sequence[BlurRegion],
    progress: Callable[[float, str], None],
    cancelled: Callable[[], bool],
) -> list[Followed]:
    """Follow each region where nobody did yet.

    Parameters
    ----------
    films : shown as one

    Raises
    ------
    MediaError
        The footage cannot be read, or it was stopped.
    """
    from app.media.reel import open_reel

    done: list[Followed] = []
    with open_reel(films, cancelled=cancelled) as film:
        open_gaps = [(r, gap) for r in regions for gap in gaps(r, _last_s(film))]
        total = sum(b - a for _, (a, b) in open_gaps) or 1.0
        before = 0.0
        for region, (a, b) in open_gaps:

            def tell(share: float, so_far: float = before, length: float = b - a) -> None:
                progress((so_far + share * length) / total, "Following the face")

            done.append(_gap(film, region, a, b, tell, cancelled))
            before += b - a
    return done


def _last_s(film: VideoFile) -> float:
    return float(film.index.time_s[-1])


def _gap(
    film: VideoFile,
    region: BlurRegion,
    from_s: float,
    to_s: float,
    progress: Callable[[float], None],
    cancelled: Callable[[], bool],
) -> Followed:
    from app.media.regions.follow import Spot
    from app.media.regions.track_region import track_region

    # A key lies on its frame's own time; the index gives the frame that is shown then.
    hand = {
        film.index.at(k.video_s + 1e-6): Spot(k.x_px, k.y_px, k.w_px, k.h_px)
        for k in region.by_hand
        if from_s - 1e-6 <= k.video_s <= to_s + 1e-6
    }
    first, last = film.index.at(from_s + 1e-6), film.index.at(to_s + 1e-6)
    spots = track_region(film, hand, first, last, progress, cancelled)
    times = [float(t) for t in film.index.time_s[first : last + 1]]
    keys = thinned_keys([_key(t, s) for t, s in zip(times, spots, strict=True)])
    ends = [*times[1:], times[-1] + 1.0 / max(film.fps, 1.0)]
    lost = [(a, b) for a, b, s in zip(times, ends, spots, strict=True) if not s.sure]
    return Followed(region.id, region.by_hand, keys, unsure_spans(lost))


def _key(time_s: float, spot: Spot) -> BlurKey:
    """The region of a frame, as wide as the face may be away."""
    wide = 2.0 * spot.reach_px
    x, y, w, h = map(float, (spot.x_px, spot.y_px, spot.w_px + wide, spot.h_px + wide))
    return BlurKey(time_s, x, y, w, h, False)
