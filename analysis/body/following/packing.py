"""A track as small arrays to be kept, and back.

    time_s   (T,) f8         seconds of the film
    unit_px  () f4           what one step of `xy` is: 1/16 px, or 1/8 px in a large picture
    xy       (T, K, 2) i2    in steps; the lowest number where not known
    sd_px    (T, K) f2       NaN where not known
    source   (T, K) u1       `Source`
    phase    (T,) f4         strokes since the first turn; NaN where not known
    steady   (T, 2, 3) f4    only where the camera moved
    click_time_s (C,) f8, click_point (C,) u1, click_px (C, 2) f4

`click_point` counts through `POINTS`, then `FIXED_POINTS`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from analysis.body.track import FIXED_POINTS, POINTS, BodyTrack, Click, Source
from analysis.signals.signal import FloatArray

ALL_POINTS = (*POINTS, *FIXED_POINTS)
UNKNOWN = np.iinfo(np.int16).min
FINE_PX, COARSE_PX = 1.0 / 16.0, 1.0 / 8.0
_FINE_UP_TO_PX = 2047.0
_FAR_PX = 4095.0  # a place further out of a picture than this is not worth keeping
_LARGEST_SD = 60000.0  # of half precision

Arrays = Mapping[str, NDArray[np.generic]]

KINDS = {
    "time_s": np.float64,
    "unit_px": np.float32,
    "xy": np.int16,
    "sd_px": np.float16,
    "source": np.uint8,
    "phase": np.float32,
    "click_time_s": np.float64,
    "click_point": np.uint8,
    "click_px": np.float32,
}


class PackedError(ValueError):
    """Arrays that hold no track. The message is one sentence for the user."""


def pack(
    track: BodyTrack, phase: FloatArray, clicks: Sequence[Click] = ()
) -> dict[str, NDArray[np.generic]]:
    """Give a track, its phases (T,) and its clicks as small arrays.

    Places are rounded to 1/16 px (1/8 px in a picture beyond 2047 px), uncertainties to 0.1 %.
    """
    known = np.isfinite(track.xy_px).all(axis=-1) & (np.abs(track.xy_px) <= _FAR_PX).all(axis=-1)
    known &= np.isfinite(track.sd_px)
    largest = float(np.abs(track.xy_px[known]).max(initial=0.0))
    unit = FINE_PX if largest <= _FINE_UP_TO_PX else COARSE_PX
    steps = np.rint(np.where(known[..., None], track.xy_px, 0.0) / unit)
    sd = np.where(known, np.clip(track.sd_px, 0.0, _LARGEST_SD), np.nan)
    packed: dict[str, NDArray[np.generic]] = {
        "time_s": track.time_s.astype(np.float64),
        "unit_px": np.array(unit, dtype=np.float32),
        "xy": np.where(known[..., None], steps, UNKNOWN).astype(np.int16),
        "sd_px": sd.astype(np.float16),
        "source": np.where(known, track.source, np.uint8(Source.UNKNOWN)).astype(np.uint8),
        "phase": phase.astype(np.float32),
        "click_time_s": np.array([c.time_s for c in clicks], dtype=np.float64),
        "click_point": np.array([ALL_POINTS.index(c.point) for c in clicks], dtype=np.uint8),
        "click_px": np.array([(c.x_px, c.y_px) for c in clicks], np.float32).reshape(-1, 2),
    }
    if track.steady is not None:
        packed["steady"] = track.steady.astype(np.float32)
    return packed


def unpack(packed: Arrays) -> tuple[BodyTrack, FloatArray, tuple[Click, ...]]:
    """Give back track, phases and clicks.

    Raises
    ------
    PackedError
        The arrays are not what `pack` makes, whoever made them.
    """
    _check(packed)
    steps = packed["xy"].astype(np.float64)
    known = (packed["xy"] != UNKNOWN).all(axis=-1)
    xy = np.where(known[..., None], steps * float(packed["unit_px"]), np.nan)
    steady = packed["steady"].astype(np.float64) if "steady" in packed else None
    track = BodyTrack(
        packed["time_s"].astype(np.float64),
        xy,
        np.where(known, packed["sd_px"].astype(np.float64), np.nan),
        packed["source"].astype(np.uint8),
        steady,
    )
    clicks = tuple(
        Click(float(t), ALL_POINTS[int(p)], float(x), float(y))
        for t, p, (x, y) in zip(
            packed["click_time_s"].astype(np.float64),
            packed["click_point"].astype(np.intp),
            packed["click_px"].astype(np.float64),
            strict=True,
        )
    )
    return track, packed["phase"].astype(np.float64), clicks


_NOT_A_TRACK = "The stored points of the body cannot be read; follow the body again."


def _check(packed: Arrays) -> None:
    """Refuse arrays of other kinds, shapes or values."""
    if any(name not in packed or packed[name].dtype != kind for name, kind in KINDS.items()):
        raise PackedError(_NOT_A_TRACK)
    frames, clicks = packed["time_s"].size, packed["click_time_s"].size
    shapes = {
        "time_s": (frames,), "unit_px": (), "xy": (frames, len(POINTS), 2),
        "sd_px": (frames, len(POINTS)), "source": (frames, len(POINTS)), "phase": (frames,),
        "click_time_s": (clicks,), "click_point": (clicks,), "click_px": (clicks, 2),
    }  # fmt: skip
    if any(packed[name].shape != shape for name, shape in shapes.items()):
        raise PackedError(_NOT_A_TRACK)
    time_s, unit = packed["time_s"].astype(np.float64), float(packed["unit_px"])
    good = np.isfinite(time_s).all() and (np.diff(time_s) > 0.0).all()
    good &= unit in (FINE_PX, COARSE_PX)
    good &= bool((packed["source"].astype(int) <= max(Source)).all())
    good &= bool((packed["click_point"].astype(int) < len(ALL_POINTS)).all())
    good &= bool(np.isfinite(packed["click_px"].astype(np.float64)).all())
    good &= bool(np.isfinite(packed["click_time_s"].astype(np.float64)).all())
    known = (packed["xy"] != UNKNOWN).all(axis=-1)
    sd = packed["sd_px"].astype(np.float64)
    good &= bool((np.isfinite(sd[known]) & (sd[known] >= 0.0)).all())
    steady = packed.get("steady")
    if steady is not None:
        good &= steady.dtype == np.float32 and steady.shape == (frames, 2, 3)
        good &= bool(np.isfinite(steady.astype(np.float64)).all())
    if not good:
        raise PackedError(_NOT_A_TRACK)
