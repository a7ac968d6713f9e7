"""What is kept of the machine beside the points: the picture's size, the seat's sizes on its way.

picture_px  (2,) f4    width and height
seat        (N, 3) f4  x, y in pixels of the frame, and size, relative
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from analysis.body.following.observed import Observed, SeatSizes

_LARGEST_PX: Final = 32_768.0
_FURTHEST_PX: Final = 1e5
_SIZES: Final = (0.1, 10.0)
_BAD: Final = "The stored points of the machine cannot be read."

Arrays = Mapping[str, NDArray[np.generic]]


def pack_machine(observed: Observed) -> dict[str, NDArray[np.generic]]:
    """Give picture and seat as arrays; nothing of what is not known."""
    packed: dict[str, NDArray[np.generic]] = {}
    if observed.picture_px is not None:
        packed["picture_px"] = np.array(observed.picture_px, np.float32)
    if observed.seat is not None:
        seat = observed.seat
        packed["seat"] = np.stack((seat.x_px, seat.y_px, seat.size), axis=1).astype(np.float32)
    return packed


def unpack_machine(arrays: Arrays) -> tuple[tuple[int, int] | None, SeatSizes | None]:
    """Give back size of the picture and sizes of the seat, None for what was not kept.

    Raises
    ------
    ValueError
        They are not what `pack_machine` makes.
    """
    return _picture(arrays.get("picture_px")), _seat(arrays.get("seat"))


def _picture(kept: NDArray[np.generic] | None) -> tuple[int, int] | None:
    if kept is None:
        return None
    size = kept.astype(np.float64)
    if size.shape != (2,) or not ((size >= 1.0) & (size <= _LARGEST_PX)).all():
        raise ValueError(_BAD)
    return int(size[0]), int(size[1])


def _seat(kept: NDArray[np.generic] | None) -> SeatSizes | None:
    from analysis.body.following.observed import SeatSizes

    if kept is None:
        return None
    rows = kept.astype(np.float64)
    if rows.ndim != 2 or rows.shape[1] != 3 or not len(rows):
        raise ValueError(_BAD)
    inside = (np.abs(rows[:, :2]) <= _FURTHEST_PX).all()
    if not (inside and ((rows[:, 2] >= _SIZES[0]) & (rows[:, 2] <= _SIZES[1])).all()):
        raise ValueError(_BAD)
    return SeatSizes(rows[:, 0], rows[:, 1], rows[:, 2])
