"""The analog channels of a C3D motion recording as a table: a time, and a column a channel.

C3D (c3d.org, "The C3D File Format User Guide") is a head of one block, a section of parameters and
the frames. What is read is counted against the length of the file before anything is made of it.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from math import prod
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.force.c3d_points import force_channel, handle_points, handle_way
from analysis.force.trace import TraceError

BLOCK: Final = 512
KEY: Final = 0x50
INTEL: Final = 84
MOST_BYTES: Final = 64 * 2**20  # ten minutes of 16 channels at 1 kHz are 38 MB
MOST_CHANNELS: Final = 64
COUNTED: Final = 2**16  # where whole numbers begin anew, the head's count of frames too
MOST_ROWS: Final = 4_000_000  # an hour at 1 kHz
MOST_VALUES: Final = 16 * 2**20
_BLOCK_ROWS: Final = 8192  # as numbers of Python a recording would be ten times its file
NAMED: Final = 4  # of the points
WAY: Final = "Handle position (m)"
_Stored = NDArray[np.float32] | NDArray[np.int16] | NDArray[np.uint16]
_Values = list[float] | list[str]
_Group = dict[str, _Values]
_SIZES: Final = {-1: 1, 1: 1, 2: 2, 4: 4}  # of a parameter's values, by its type


@dataclass(frozen=True)
class _Head:
    """What the first block says.

    Attributes
    ----------
    points, analog : points and analog values in each frame
    per_frame : analog samples of each channel in a frame
    frames, rate_hz : how many, and how many a second
    is_real : whether values are floats, rather than whole numbers to be scaled
    data_at, parameters_at : bytes into the file
    """

    points: int
    analog: int
    per_frame: int
    frames: int
    rate_hz: float
    is_real: bool
    data_at: int
    parameters_at: int


def looks_like_c3d(ending: str, head: bytes) -> bool:
    """Whether a file is to be read as C3D: by its ending and its key."""
    return ending.lower() == ".c3d" and len(head) > 1 and head[1] == KEY


def table_of_c3d(path: Path, name: str) -> tuple[Iterator[str], tuple[str, ...]]:
    """Give the analog channels of a C3D file as lines parted by tabs.

    Raises
    ------
    TraceError
        It is damaged, has no analog channels, or was written by a machine of another kind.
    """
    if path.stat().st_size > MOST_BYTES:
        raise TraceError(f"{name} is a C3D recording and too long to be read; export it as .csv.")
    data = path.read_bytes()
    try:
        head = _head(data)
        groups = _parameters(data, head, name)
        said, points = groups.get("ANALOG", {}), _points(head, groups.get("POINT", {}))
        (form,) = said.get("FORMAT", [])[:1] or [""]
        unsigned = not head.is_real and str(form).upper() == "UNSIGNED"
        if not head.analog:
            raise TraceError(_points_alone(name, points))
        values = _analog(data, head, "<u2" if unsigned else "<i2")
    except (struct.error, LookupError, ValueError, OverflowError) as error:
        if isinstance(error, TraceError):
            raise
        raise TraceError(
            f"{name} is a C3D recording that is damaged; export its analog channels as .csv, or "
            "ask the athlete to."
        ) from None
    if len(values) > MOST_ROWS or values.size > MOST_VALUES:
        raise TraceError(f"{name} is a C3D recording and too long to be read; export it as .csv.")
    if unsigned:  # then what nothing is stored as is unsigned too
        said["OFFSET"] = [v % COUNTED for v in said.get("OFFSET", []) if isinstance(v, float)]
    way = _way(data, head, values, groups)
    remarks = [f"The analog channels of the C3D recording {name} were read."]
    if points:
        taken = (
            "of them the handle's way was taken as its position, along the line it moves on"
            if way is not None
            else "of them nothing was taken"
        )
        remarks.append(f"It also holds {points}, seen {head.rate_hz:g} times a second; {taken}.")
    return _lines(values, said, head.rate_hz * head.per_frame, way), tuple(remarks)


def _way(
    data: bytes, head: _Head, values: _Stored, groups: dict[str, _Group]
) -> NDArray[np.float64] | None:
    """(samples,) the handle's way from the flywheel, m; None where no point tells it."""
    said, of_points = groups["ANALOG"], groups["POINT"]
    labels = [str(label) for label in of_points.get("LABELS", [])[: head.points]]
    handle = handle_points(labels)
    channel = force_channel(_headings(said, values.shape[1]))
    scales = of_points.get("SCALE", [])
    if not handle or channel is None or not scales or isinstance(scales[0], str):
        return None
    row = 4 * head.points + head.analog
    frames = len(values) // head.per_frame
    kind = "<f4" if head.is_real else "<i2"
    flat = np.frombuffer(data, kind, frames * row, head.data_at).reshape(frames, row)
    seen = flat[:, : 4 * head.points].reshape(frames, head.points, 4)[:, handle].astype(float)
    if not head.is_real:
        seen[:, :, :3] *= abs(scales[0])
    force = _scaled(values, said)[:: head.per_frame, channel]
    unit = str((of_points.get("UNITS") or [""])[0]).casefold()
    way = handle_way(seen, unit, force, head.rate_hz)
    if way is None:
        return None
    return np.interp(np.arange(len(values)) / head.per_frame, np.arange(frames), way)


def _head(data: bytes) -> _Head:
    pointer, _key, points, analog, first, last = struct.unpack_from("<BBHHHH", data)
    scale, start, per_frame, rate_hz = struct.unpack_from("<fHHf", data, 12)
    return _Head(
        points,
        analog,
        per_frame,
        last - first + 1,
        rate_hz,
        scale < 0.0,
        (start - 1) * BLOCK,
        (pointer - 1) * BLOCK,
    )


def _points(head: _Head, said: _Group) -> str:
    """What points a recording follows, in words; "" where it follows none."""
    if not head.points or head.frames < 1:
        return ""
    labels = [_plain(str(label)) for label in said.get("LABELS", [])[: head.points]]
    named = [f"“{label}”" for label in labels if label][:NAMED]
    more = f" and {head.points - len(named)} more" if named and head.points > len(named) else ""
    count = "one followed point" if head.points == 1 else f"{head.points} followed points"
    return f"{count} ({', '.join(named)}{more})" if named else count


def _points_alone(name: str, points: str) -> str:
    """Why a recording without analog channels is of no use, and the next step."""
    if not points:
        return (
            f"{name} is a C3D recording without points and without analog channels; ask for the "
            "recording of the force, or for a table of it (.csv)."
        )
    return (
        f"{name} is a C3D recording of points alone: it holds {points}, and no analog channel that "
        "could be a force; ask for the recording with its analog channels, or for a table of the "
        "force (.csv). A film of the piece can be reviewed without."
    )


def _plain(label: str) -> str:
    return " ".join("".join(c if c.isprintable() and c != '"' else " " for c in label).split())[:40]


def _parameters(data: bytes, head: _Head, name: str) -> dict[str, _Group]:
    """Parameters of analog channels and points, by their groups and names."""
    at = head.parameters_at
    if data[at + 3] != INTEL:
        raise TraceError(
            f"{name} is a C3D recording of an old kind of machine, whose numbers are not read "
            "here; export its analog channels as .csv."
        )
    end = min(len(data), at + data[at + 2] * BLOCK)
    at += 4
    groups: dict[int, str] = {}
    found: list[tuple[int, str, _Values]] = []
    while at + 4 <= end:
        length, group = struct.unpack_from("<bb", data, at)
        if length == 0:
            break
        count = abs(length)
        word = data[at + 2 : at + 2 + count].decode("latin-1").upper()
        body = at + 2 + count
        (step,) = struct.unpack_from("<H", data, body)
        if group < 0:
            groups[-group] = word
        else:
            found.append((group, word, _values(data, body + 2, body + step if step else end)))
        if step == 0:
            break
        at = body + step
    made: dict[str, _Group] = {"ANALOG": {}, "POINT": {}}
    for at_group, word, values in found:
        if groups.get(at_group) in made:
            made[groups[at_group]][word] = values
    return made


def _values(data: bytes, at: int, end: int) -> _Values:
    """The values of one parameter, none of which lies behind its `end`."""
    kind, dimensions = struct.unpack_from("<bB", data, at)
    sides = list(data[at + 2 : at + 2 + dimensions])
    count, at = prod(sides), at + 2 + dimensions
    if at + count * _SIZES[kind] > end:
        raise ValueError
    raw = data[at : at + count * _SIZES[kind]]
    if kind == -1:
        width = sides[0] if sides else 1
        text = raw.decode("latin-1")
        return [text[i : i + width].strip() for i in range(0, len(text), max(width, 1))]
    kinds = {1: "<u1", 2: "<i2", 4: "<f4"}
    return [float(v) for v in np.frombuffer(raw, kinds[kind])]


def _analog(data: bytes, head: _Head, whole: str) -> _Stored:
    """(samples, channels) as they are stored, whole numbers as `whole` says."""
    channels = head.analog // head.per_frame if head.per_frame else 0
    if not 0 < channels <= MOST_CHANNELS or head.analog % channels or not 0.0 < head.rate_hz < 1e6:
        raise ValueError
    kind = np.dtype("<f4" if head.is_real else whole)
    row = 4 * head.points + head.analog
    frames = _frames(data, head, row * kind.itemsize)
    if frames < 1:
        raise ValueError
    flat = np.frombuffer(data, kind, frames * row, head.data_at).reshape(frames, row)
    return flat[:, 4 * head.points :].reshape(-1, channels)


def _frames(data: bytes, head: _Head, row: int) -> int:
    """How many frames of so many bytes there are; a long recording has more than its head counts.

    The head counts in 16 bits. Some writers stop at the most it can say, others begin anew. Behind
    the frames the last block is filled up with zeros, which are no samples.
    """
    held = (len(data) - head.data_at) // row
    told = head.frames % COUNTED
    if told != COUNTED - 1:
        return told + (held - told) // COUNTED * COUNTED if held >= told else held
    filled = len(data) - len(data.rstrip(b"\0"))
    return held - min(filled, BLOCK - 1) // row


def _each(said: _Group, word: str, usual: float, channels: int) -> NDArray[np.float64]:
    """A parameter of every channel; the usual one where it is not told."""
    told = [v for v in said.get(word, []) if isinstance(v, float)][:channels]
    return np.array([*told, *[usual] * (channels - len(told))])


def _headings(said: _Group, channels: int) -> list[str]:
    labels, units = said.get("LABELS", []), said.get("UNITS", [])
    made = []
    for i in range(channels):
        label = str(labels[i]) if i < len(labels) and labels[i] else f"channel {i + 1}"
        unit = str(units[i]) if i < len(units) else ""
        said_of = f"{label} ({unit})" if unit else label
        made.append(" ".join(said_of.replace('"', " ").split()))
    return made


def _scaled(stored: _Stored, said: _Group) -> NDArray[np.float64]:
    """The values in their units: (stored - offset) * scale * general scale."""
    channels = stored.shape[1]
    offset, scale = (
        _each(said, word, at, channels) for word, at in (("OFFSET", 0.0), ("SCALE", 1.0))
    )
    general = _each(said, "GEN_SCALE", 1.0, channels)[0]
    with np.errstate(all="ignore"):  # what is no number is a gap of the table
        values: NDArray[np.float64] = (stored.astype(float) - offset) * scale * general
    return values


def _lines(
    stored: _Stored, said: _Group, rate_hz: float, way: NDArray[np.float64] | None
) -> Iterator[str]:
    headings = _headings(said, stored.shape[1])
    yield "\t".join(("time (s)", *headings, *([] if way is None else [WAY]))) + "\n"
    for begin in range(0, len(stored), _BLOCK_ROWS):
        values = _scaled(stored[begin : begin + _BLOCK_ROWS], said)
        if way is not None:
            values = np.column_stack((values, way[begin : begin + _BLOCK_ROWS]))
        for i, row in enumerate(values.tolist(), begin):
            yield "\t".join((f"{i / rate_hz:.6f}", *(f"{value:.6g}" for value in row))) + "\n"
