"""C3D recordings written by the public format guide, byte by byte, not by the reader's own code."""

from __future__ import annotations

import struct
from typing import Any

import numpy as np
from numpy.typing import NDArray

BLOCK = 512


def _parameter(group: int, name: bytes, kind: int, sides: tuple[int, ...], data: bytes) -> bytes:
    body = struct.pack("<bB", kind, len(sides)) + bytes(sides) + data + b"\0"
    return struct.pack("<bb", len(name), group) + name + struct.pack("<H", 2 + len(body)) + body


def _group(group: int, name: bytes) -> bytes:
    return struct.pack("<bb", len(name), -group) + name + struct.pack("<H", 3) + b"\0"


def whole_numbers(
    force_n: NDArray[np.floating[Any]],
    rate_hz: float,
    counted: int,
    with_trial: bool = False,
    unsigned_offset: int | None = None,
) -> bytes:
    """One channel of force as whole numbers of 0.02 N, Intel, no points, one sample a frame.

    Parameters
    ----------
    counted : the last frame as the head has it, 16 bits
    with_trial : whether the group TRIAL tells the last frame in 32 bits
    unsigned_offset : what nothing is stored as where numbers are unsigned; None for signed ones
    """
    frames = len(force_n)
    nothing = -40 if unsigned_offset is None else unsigned_offset
    said = [
        _parameter(1, b"LABELS", -1, (12, 1), b"Handle force"),
        _parameter(1, b"UNITS", -1, (1, 1), b"N"),
        _parameter(1, b"SCALE", 4, (1,), struct.pack("<f", 0.02)),
        _parameter(1, b"OFFSET", 2, (1,), struct.pack("<H", nothing & 0xFFFF)),
        _group(1, b"ANALOG"),
    ]
    if unsigned_offset is not None:
        said.insert(0, _parameter(1, b"FORMAT", -1, (8,), b"UNSIGNED"))
    if with_trial:
        first = struct.pack("<HH", 1, 0)
        last = struct.pack("<HH", frames & 0xFFFF, frames >> 16)
        said += [
            _group(2, b"TRIAL"),
            _parameter(2, b"ACTUAL_START_FIELD", 2, (2,), first),
            _parameter(2, b"ACTUAL_END_FIELD", 2, (2,), last),
        ]
    told = b"".join(said) + bytes(4)
    blocks = -(-(len(told) + 4) // BLOCK)
    head = struct.pack("<BBHHHHHfHHf", 2, 0x50, 0, 1, 1, counted, 0, 1.0, 2 + blocks, 1, rate_hz)
    whole = np.round(force_n / 0.02 + nothing)
    stored = whole.astype("<i2" if unsigned_offset is None else "<u2").tobytes()
    return b"".join(
        (
            head.ljust(BLOCK, b"\0"),
            (bytes((1, 0x50, blocks, 84)) + told).ljust(blocks * BLOCK, b"\0"),
            stored.ljust(-(-len(stored) // BLOCK) * BLOCK, b"\0"),
        )
    )
