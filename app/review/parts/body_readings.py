"""What was read from the pictures of a film, as bytes that are kept and known by their content.

The bytes are one line of JSON, `[[name, kind, shape], ...]`, and behind it the arrays of
`analysis/body/following/packing.py` one after the other, little-endian, deflated.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from functools import cached_property
from math import prod
from typing import TYPE_CHECKING, Any, Final

from app.review.values.errors import ReviewError
from app.review.values.part import UNREADABLE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from analysis.body.following.observed import Observed

MOST_FRAMES: Final = 500_000  # more than two hours at 60 a second
MOST_BYTES: Final = 32_000_000
_LONGEST_S: Final = 100_000.0
_LONGEST_GAP_S: Final = 60.0
_SHORTEST_STEP_S: Final = 1e-4
_MOST_STROKES_A_FRAME: Final = 1.0
_FURTHEST_PX: Final = 1e5
PICTURE: Final = "picture_px"  # width and height, where they are known
_LARGEST_PX: Final = 32_768.0
_MOST_ZOOM: Final = 0.9  # how far a camera's motion may change an area
_MOST_HEADING: Final = 2_000
_MOST_OF_FRAME: Final = 200  # bytes, with room: 99 are used
_KINDS: Final = ("<f8", "<f4", "<f2", "<i2", "|u1")
_BAD: Final = "What was followed of the body cannot be read; follow the body again."


class Readings:
    """Readings of the points in every frame; two with the same content are the same.

    Attributes
    ----------
    data : as they are kept
    id : SHA-256 of it, hexadecimal
    """

    def __init__(self, data: bytes) -> None:
        self.data = data
        self.id = hashlib.sha256(data).hexdigest()

    def __eq__(self, other: object) -> bool:
        """Whether they were read alike."""
        return isinstance(other, Readings) and other.id == self.id

    def __hash__(self) -> int:
        """By content."""
        return hash(self.id)

    def __repr__(self) -> str:
        """Short: the arrays are long."""
        return f"Readings({self.id[:8]}, {len(self.data)} bytes)"

    def __reduce__(self) -> tuple[Any, ...]:
        """As bytes: what was worked out of them stays here."""
        return Readings, (self.data,)

    @cached_property
    def observed(self) -> Observed:
        """The readings, in seconds of the film.

        Raises
        ------
        ReviewError
            They are not what `readings_of` makes.
        """
        from analysis.body.following.observed import Observed
        from analysis.body.following.packing import unpack

        try:
            arrays = _arrays(self.data)
            track, phase, _clicks = unpack(arrays)
            picture_px = _picture(arrays.get(PICTURE))
        except (*UNREADABLE, zlib.error):
            raise ReviewError(_BAD) from None
        return Observed(
            track.time_s, track.xy_px, track.sd_px, track.source, phase, track.steady,
            picture_px,
        )  # fmt: skip


def readings_of(observed: Observed) -> Readings:
    """Give readings as they are kept: places to 1/16 px, uncertainties to 0.1 %.

    Raises
    ------
    ReviewError
        They are of more frames than a review keeps.
    """
    import numpy as np

    from analysis.body.following.packing import pack
    from analysis.body.track import BodyTrack

    if len(observed.time_s) > MOST_FRAMES:
        raise ReviewError("The film is longer than a body can be followed in; cut it first.")
    track = BodyTrack(
        observed.time_s, observed.xy_px, observed.sd_px, observed.source, observed.steady
    )  # fmt: skip
    packed = pack(track, observed.phase)
    if observed.picture_px is not None:
        packed[PICTURE] = np.array(observed.picture_px, np.float32)
    arrays = {name: _little(array) for name, array in packed.items()}
    heading = [[name, array.dtype.str, array.shape] for name, array in arrays.items()]
    body = b"".join(array.tobytes() for array in arrays.values())
    return Readings(
        json.dumps(heading, separators=(",", ":")).encode() + b"\n" + zlib.compress(body)
    )


def check_readings(readings: Readings) -> None:
    """Refuse readings that cannot be used; raises ReviewError."""
    if len(readings.data) > MOST_BYTES:
        raise ReviewError("What was followed of the body is longer than a review can keep.")
    if not _is_of_a_film(readings.observed):
        raise ReviewError(_BAD)


def _is_of_a_film(observed: Observed) -> bool:
    """Whether time, strokes and the camera's motion are such as a film has.

    Whatever works on a stranger's readings counts seconds and strokes: it must come to an end.
    """
    import numpy as np

    time_s, phase, steady = observed.time_s, observed.phase, observed.steady
    if len(time_s) == 0 or abs(time_s[0]) > _LONGEST_S or time_s[-1] > _LONGEST_S:
        return False
    steps = np.diff(time_s)
    if len(steps) and not (steps.max() <= _LONGEST_GAP_S and np.median(steps) >= _SHORTEST_STEP_S):
        return False
    if (observed.sd_px <= 0.0).any():  # nobody reads a place without any doubt
        return False
    known = phase[~np.isnan(phase)]
    if len(known) and not (
        np.abs(known).max() <= _MOST_STROKES_A_FRAME * len(time_s) and (np.diff(known) >= 0).all()
    ):
        return False
    if steady is None:
        return True
    turn = np.linalg.det(steady[:, :, :2])
    return bool((np.abs(steady) <= _FURTHEST_PX).all() and (np.abs(turn - 1.0) <= _MOST_ZOOM).all())


def _picture(kept: NDArray[np.generic] | None) -> tuple[int, int] | None:
    """Size of the picture; None where it was not kept."""
    if kept is None:
        return None
    width, height = (float(side) for side in kept.reshape(-1).tolist())
    if not (1.0 <= width <= _LARGEST_PX and 1.0 <= height <= _LARGEST_PX):
        raise ValueError(_BAD)
    return int(width), int(height)


def _little(array: NDArray[np.generic]) -> NDArray[np.generic]:
    return array.astype(array.dtype.newbyteorder("<"), copy=False)


def _arrays(data: bytes) -> dict[str, NDArray[np.generic]]:
    """Take the bytes apart; no more is inflated than the heading says, nor than a film needs."""
    import numpy as np

    heading, found, deflated = data[:_MOST_HEADING].partition(b"\n")
    if not found:
        raise ValueError(_BAD)
    deflated = data[len(heading) + 1 :]
    told = [(str(name), _kind(kind), _shape(shape)) for name, kind, shape in json.loads(heading)]
    sizes = [np.dtype(kind).itemsize * prod(shape) for _name, kind, shape in told]
    if sum(sizes) > MOST_FRAMES * _MOST_OF_FRAME:
        raise ValueError(_BAD)
    whole = zlib.decompressobj().decompress(deflated, sum(sizes) + 1)
    if len(whole) != sum(sizes):
        raise ValueError(_BAD)
    arrays: dict[str, NDArray[np.generic]] = {}
    at = 0
    for (name, kind, shape), size in zip(told, sizes, strict=True):
        array = np.frombuffer(whole[at : at + size], dtype=kind).reshape(shape)
        arrays[name] = array.astype(array.dtype.newbyteorder("="))
        at += size
    return arrays


def _kind(told: object) -> str:
    if told not in _KINDS:
        raise ValueError(_BAD)
    return str(told)


def _shape(told: Any) -> tuple[int, ...]:
    if len(told) > 3 or not all(type(n) is int and 0 <= n <= MOST_FRAMES for n in told):
        raise ValueError(_BAD)
    return tuple(told)
