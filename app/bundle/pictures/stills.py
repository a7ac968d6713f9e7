"""Frames of the film as JPEG, upright and as the coach turned them, and nothing but the picture."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from app.bundle.pictures.glances import Frames
from app.bundle.pictures.jpeg import jpeg
from app.media.light import lifted
from app.media.orientation import Turn
from app.review.parts.picture import PictureTurn

# Wide enough for a phone held across at three pixels a point, small enough to send twelve.
STILL_BOX_PX = 1280
POSTER_BOX_PX = 480
STILL_QUALITY = 90
Paint = Callable[[NDArray[np.uint8], float], NDArray[np.uint8]]
_SIGNATURE = b"\x89PNG\r\n\x1a\n"
# The picture and how its colours are meant; every other chunk could carry words, dates or places.
_KEPT_CHUNKS = frozenset({b"IHDR", b"PLTE", b"tRNS", b"sRGB", b"gAMA", b"cHRM", b"IDAT", b"IEND"})


def write_still(
    film: Frames,
    time_s: float,
    out_jpg: Path,
    turn: PictureTurn,
    box_px: int = STILL_BOX_PX,
    paint: Paint | None = None,
    quality: int = STILL_QUALITY,
) -> tuple[int, int]:
    """Write the frame on screen at a time, no side longer than `box_px`; return width, height.

    Parameters
    ----------
    paint : draws over the BGRA picture of a film time
    quality : of the JPEG, see `app.bundle.pictures.jpeg`

    Raises
    ------
    MediaError
        The film is damaged there.
    OSError
        The file cannot be written.
    """
    image = film.frame_bgra(film.index.at(time_s), box_px, box_px)
    image = lifted(Turn(turn.quarter_turns % 4, turn.mirrored).apply(image), turn.lift)
    if paint is not None:
        image = paint(image, time_s)
    out_jpg.write_bytes(jpeg(image[:, :, 2::-1], quality))
    height, width = image.shape[:2]
    return int(width), int(height)


def only_picture(png: bytes) -> bytes:
    """Give a PNG without the chunks that are not needed to show it."""
    if not png.startswith(_SIGNATURE):
        raise ValueError("not a PNG")
    kept, at = [_SIGNATURE], len(_SIGNATURE)
    while at + 12 <= len(png):
        length = int.from_bytes(png[at : at + 4])
        end = at + 12 + length
        if png[at + 4 : at + 8] in _KEPT_CHUNKS:
            kept.append(png[at:end])
        at = end
    return b"".join(kept)
