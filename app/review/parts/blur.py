"""Faces to hide in what is sent: where each is, on every frame it was marked or followed on."""

from __future__ import annotations

import math
import uuid
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from app.review.values.errors import ReviewError

# Nobody knows where a face goes that is not followed: from so long after the last known place on,
# the region grows by so many of its own sizes a second. A head at the catch moves at some 1.5 m/s,
# six times its own width in a second (common practice, no source).
HELD_S = 0.5
GROWS_PER_S = 6.0
SMALLEST_PX = 4.0


class BlurKey(NamedTuple):
    """Where a face is on one frame.

    Attributes
    ----------
    video_s : video seconds of the frame
    x_px, y_px : middle of an upright ellipse, video pixels of the upright source
    w_px, h_px : its width and height
    by_hand : True where the coach put it, False where it was followed to
    """

    video_s: float
    x_px: float
    y_px: float
    w_px: float
    h_px: float
    by_hand: bool


@dataclass(frozen=True)
class BlurRegion:
    """One face to hide.

    Attributes
    ----------
    keyframes : in order of time; straight lines join them
    start_s, end_s : the span it is hidden in, None for from the beginning, to the end
    unsure : spans (from_s, to_s) in which it was not recognised and the region is wider
    """

    id: str
    keyframes: tuple[BlurKey, ...]
    start_s: float | None = None
    end_s: float | None = None
    unsure: tuple[tuple[float, float], ...] = ()

    @property
    def by_hand(self) -> tuple[BlurKey, ...]:
        """The places the coach marked."""
        return tuple(key for key in self.keyframes if key.by_hand)

    @property
    def is_followed(self) -> bool:
        """Whether every moment between its ends lies near a known place."""
        return all(b.video_s - a.video_s <= 2 * HELD_S for a, b in pairwise(self.keyframes))


def new_region(video_s: float, x_px: float, y_px: float, w_px: float, h_px: float) -> BlurRegion:
    """Return a region with an id of its own, marked on one frame."""
    return BlurRegion(uuid.uuid4().hex, (hand_key(video_s, x_px, y_px, w_px, h_px),))


def hand_key(video_s: float, x_px: float, y_px: float, w_px: float, h_px: float) -> BlurKey:
    """A place the coach marked; no smaller than can be seen."""
    return BlurKey(video_s, x_px, y_px, max(w_px, SMALLEST_PX), max(h_px, SMALLEST_PX), True)


def region_at(region: BlurRegion, video_s: float) -> BlurKey | None:
    """Where a region is at a moment; None outside its span.

    Far from every known place it grows, so that a face nobody followed is not left in sight.
    """
    # A frame is shown until the next one: what begins within it begins with it.
    if region.start_s is not None and video_s < region.start_s - 1e-6:
        return None
    if region.end_s is not None and video_s > region.end_s + 1e-6:
        return None
    keys = region.keyframes
    k = bisect_left(keys, video_s, key=lambda key: key.video_s)
    before, after = keys[max(k - 1, 0)], keys[min(k, len(keys) - 1)]
    span = after.video_s - before.video_s
    share = min(max((video_s - before.video_s) / span, 0.0), 1.0) if span > 0 else 0.0
    x, y, w, h = (a + share * (b - a) for a, b in zip(before[1:5], after[1:5], strict=True))
    away_s = min(abs(video_s - before.video_s), abs(video_s - after.video_s))
    grown = 2.0 * GROWS_PER_S * max(0.0, away_s - HELD_S) * max(w, h)
    return BlurKey(video_s, x, y, w + grown, h + grown, False)


def placed(region: BlurRegion, key: BlurKey) -> BlurRegion:
    """The region with a place of the coach's; what was followed to around it is forgotten."""
    hand = [k.video_s for k in region.by_hand if not _same(k.video_s, key.video_s)]
    low = max((t for t in hand if t < key.video_s), default=-math.inf)
    high = min((t for t in hand if t > key.video_s), default=math.inf)
    kept = [
        k
        for k in region.keyframes
        if not _same(k.video_s, key.video_s) and (k.by_hand or not low < k.video_s < high)
    ]
    unsure = tuple((a, b) for a, b in region.unsure if b <= low or a >= high)
    keys = tuple(sorted((*kept, key), key=lambda k: k.video_s))
    return replace(region, keyframes=keys, unsure=unsure)


def followed(
    region: BlurRegion, keys: Sequence[BlurKey], unsure: Sequence[tuple[float, float]]
) -> BlurRegion:
    """The region with places it was followed to between those of the coach."""
    hand = region.by_hand
    taken = {k.video_s for k in hand}
    new = [k for k in keys if not any(_same(k.video_s, t) for t in taken)]
    every = {k.video_s: k for k in (*region.keyframes, *new)}
    merged = tuple(every[t] for t in sorted(every))
    spans = tuple(sorted({*region.unsure, *unsure}))
    return replace(region, keyframes=merged, unsure=spans)


def gaps(region: BlurRegion, film_s: float) -> tuple[tuple[float, float], ...]:
    """Spans between the coach's places, and to the ends of the region, that nobody followed yet."""
    begin = 0.0 if region.start_s is None else max(region.start_s, 0.0)
    end = film_s if region.end_s is None else min(region.end_s, film_s)
    hand = [k.video_s for k in region.by_hand]
    ends = [min(begin, hand[0]), *hand, max(end, hand[-1])]
    known = [k.video_s for k in region.keyframes if not k.by_hand]
    return tuple(
        (a, b)
        for a, b in pairwise(ends)
        if b > a and not any(a < t < b or _same(t, a) or _same(t, b) for t in known)
    )


def stretched_regions(regions: Sequence[BlurRegion], by: float) -> tuple[BlurRegion, ...]:
    """The regions with every time multiplied: the film's clock was told anew."""
    return tuple(
        replace(
            r,
            keyframes=tuple(k._replace(video_s=k.video_s * by) for k in r.keyframes),
            start_s=None if r.start_s is None else r.start_s * by,
            end_s=None if r.end_s is None else r.end_s * by,
            unsure=tuple((a * by, b * by) for a, b in r.unsure),
        )
        for r in regions
    )


def check_blurs(regions: Sequence[BlurRegion]) -> None:
    """Refuse regions that could not hide anything; raises ReviewError."""
    for region in regions:
        times = [k.video_s for k in region.keyframes]
        if not region.by_hand:
            raise ReviewError("A blurred region needs a place the coach marked.")
        if any(b <= a for a, b in pairwise(times)):
            raise ReviewError("The places of a blurred region must follow each other in time.")
        if any(not (k.w_px > 0 and k.h_px > 0) for k in region.keyframes):
            raise ReviewError("A blurred region must have a size.")
        start_s, end_s = region.start_s, region.end_s
        if start_s is not None and end_s is not None and end_s < start_s:
            raise ReviewError("A blurred region cannot end before it starts.")
        if any(b < a for a, b in region.unsure):
            raise ReviewError("An unsure span cannot end before it starts.")


def _same(a_s: float, b_s: float) -> bool:
    return abs(a_s - b_s) < 1e-6


def thinned_keys(keys: Sequence[BlurKey]) -> tuple[BlurKey, ...]:
    """Leave out the places that lie on the straight lines between the others.

    Nowhere is the middle off by more than `_OFF` of the size, or the size smaller by more, and no
    two are further apart than `HELD_S`.
    """
    if len(keys) <= 2:
        return tuple(keys)
    kept, i = [keys[0]], 0
    while i < len(keys) - 1:
        j = i + 1
        while j + 1 < len(keys) and _straight(keys[i : j + 2]):
            j += 1
        kept.append(keys[j])
        i = j
    return tuple(kept)


_OFF = 0.04


def _straight(run: Sequence[BlurKey]) -> bool:
    a, b = run[0], run[-1]
    span_s = b.video_s - a.video_s
    if span_s > HELD_S:
        return False
    for key in run[1:-1]:
        share = (key.video_s - a.video_s) / span_s
        x, y, w, h = (p + share * (q - p) for p, q in zip(a[1:5], b[1:5], strict=True))
        off = _OFF * min(key.w_px, key.h_px)
        if abs(x - key.x_px) > off or abs(y - key.y_px) > off:
            return False
        if w < key.w_px - off or h < key.h_px - off:
            return False
    return True


def unsure_spans(
    lost: Sequence[tuple[float, float]], near_s: float = 0.3
) -> tuple[tuple[float, float], ...]:
    """Make spans of unsure frames in order of time; those closer than `near_s` are one."""
    spans: list[tuple[float, float]] = []
    for a, b in lost:
        if spans and a - spans[-1][1] <= near_s:
            spans[-1] = (spans[-1][0], b)
        else:
            spans.append((a, b))
    return tuple(spans)
