"""Which frames of a span can be taken from a recording as they are stored, and their packets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from app.media.clip_frames import ClipFrames
from app.media.errors import MediaError
from app.media.h264.packets import NotCopied, ParameterSets, begins_anew, pictures_of, sets_of
from app.media.index import FrameIndex
from app.media.reel import Reel
from app.media.source import Source
from app.media.video import VideoFile

# Below this the seam costs more than it saves.
_FEWEST: Final = 8


@dataclass(frozen=True)
class StoredStretch:
    """Packets that show frames which follow each other, in the order they are decoded.

    Attributes
    ----------
    frames : numbers of the frames they show
    time_s : of each packet's frame, on the clock of the recording it was asked of
    pictures : of each packet, slices behind start codes (see `app.media.h264.packets`)
    sets : the parameter sets they lean on
    """

    frames: range
    time_s: tuple[float, ...]
    pictures: tuple[bytes, ...]
    sets: ParameterSets


def stored_between(
    video: VideoFile, first: int, last: int, frames: ClipFrames
) -> StoredStretch | None:
    """Give the longest stretch within frames `first` to `last` that need not be decoded.

    It begins with a picture nothing before it is needed for, and ends where no packet shows a frame
    beyond it. None where something is done to the pictures, where the film is not stored as H.264
    in a way that is understood here, or where it would be short.
    """
    film, own = video.film_of(first) if isinstance(video, Reel) else (video, first)
    if isinstance(video, Reel) and video.film_of(last)[0] is not film:
        return None
    if film.codec != "h264" or not frames.are_as_stored(first, last):
        return None
    try:
        with film.opened_again() as source:
            stored = source.stream.codec_context
            if (stored.width, stored.height) != (film.width, film.height):
                return None  # pixels that are not square
            return _taken(source, film.index, own, last - first + own, first - own, video)
    except (NotCopied, MediaError):
        return None


def _taken(
    source: Source, index: FrameIndex, first: int, last: int, moved: int, video: VideoFile
) -> StoredStretch | None:
    begins = [int(k) for k in np.flatnonzero(index.key[first : last + 1]) + first]
    if not begins or last - begins[0] + 1 < _FEWEST:
        return None
    sets = sets_of(source.stream.codec_context.extradata)
    sets.free_id()  # or what stands around it could not be encoded
    taken = _packets(source, index, begins[0], last, sets)
    whole = _whole(stored_pts=[pts for pts, _ in taken], index=index, first=begins[0], last=last)
    if whole < _FEWEST or not begins_anew(taken[0][1]):
        return None
    at = np.searchsorted(index.pts, [pts for pts, _ in taken[:whole]])
    return StoredStretch(
        range(begins[0] + moved, begins[0] + moved + whole),
        tuple(float(video.index.time_s[k + moved]) for k in at),
        tuple(pictures for _, pictures in taken[:whole]),
        sets,
    )


def _packets(
    source: Source, index: FrameIndex, first: int, last: int, sets: ParameterSets
) -> list[tuple[int, bytes]]:
    """Packets from that of frame `first` on, until none more can show a frame up to `last`."""
    source.container.seek(int(index.pts[first]), backward=True, stream=source.stream)
    begin, end = int(index.pts[first]), int(index.pts[last])
    found: list[tuple[int, bytes]] = []
    for packet in source.packets():
        if packet.pts is None or packet.dts is None or packet.is_corrupt:
            raise NotCopied
        if not found and packet.pts != begin:
            continue
        if packet.dts > end:
            break
        found.append((packet.pts, pictures_of(bytes(packet), sets)))
    return found


def _whole(stored_pts: list[int], index: FrameIndex, first: int, last: int) -> int:
    """How many packets from the first on show the frames from `first` on, none left out."""
    known = {int(pts): k for k, pts in enumerate(index.pts[first : last + 1])}
    highest, whole = -1, 0
    seen: set[int] = set()
    for count, pts in enumerate(stored_pts, 1):
        k = known.get(pts)
        if k is None:  # beyond the end, and what comes after it may lean on it
            break
        if k in seen:
            raise NotCopied
        seen.add(k)
        highest = max(highest, k)
        if highest + 1 == count:
            whole = count
    return whole
