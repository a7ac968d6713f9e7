"""The values of one column of a Parquet file, page by page.

Nothing is made room for before it is counted: a page says how long it is unpacked, and unpacking
stops there.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from analysis.force.parquet_footer import Chunk, Column, DamagedError, Record, Thrift

MOST_PAGE_BYTES: Final = 64 * 2**20
BOOLEAN, INT32, INT64, INT96, FLOAT, DOUBLE, BYTES, FIXED = range(8)
_SIZES: Final = {INT32: "<i4", INT64: "<i8", FLOAT: "<f4", DOUBLE: "<f8"}
_DATA, _DICTIONARY, _DATA_2 = 0, 2, 3  # kinds of pages
_PLAIN, _PLAIN_DICTIONARY, _RLE, _DELTA, _RLE_DICTIONARY, _SPLIT = 0, 2, 3, 5, 8, 9
_BLOCK: Final = 1 << 13  # groups of eight packed numbers unpacked at once

Values = NDArray[Any]
Spend = Callable[[int], None]


class UnusualError(ValueError):
    """A Parquet file is packed in a way that is not read here."""


def read_chunk(data: bytes, chunk: Chunk, column: Column, spend: Spend) -> tuple[Values, Values]:
    """Give the values of a column in a group of rows, and which rows have one.

    Parameters
    ----------
    data : the bytes of the chunk
    spend : told how many bytes a page has unpacked, before it is

    Returns
    -------
    values
        (n,) numbers as stored, (n, width) bytes of a fixed length, or (n,) objects of bytes
    there
        (rows,) True where a row has a value; n of them

    Raises
    ------
    DamagedError, UnusualError
        The pages do not hold what they claim, or in a way that is not read.
    """
    view, at, left = memoryview(data), 0, chunk.values
    known: Values | None = None
    values: list[Values] = []
    there: list[Values] = []
    while left > 0:
        reader = Thrift(view, at)
        head = reader.record()
        at = reader.at + _length(head, 3)
        packed = view[reader.at : at]
        if at > len(data):
            raise DamagedError
        if 4 in head and zlib.crc32(packed) != head[4] & 0xFFFFFFFF:
            raise DamagedError
        kind = head[1]
        if kind == _DICTIONARY:
            count = head[7][1]
            known = _plain(_unpacked(packed, chunk.codec, _length(head, 2), spend), column, count)
        elif kind in (_DATA, _DATA_2):
            page = _first if kind == _DATA else _second
            mask, encoding, body = page(head, packed, chunk.codec, column, spend, left)
            left -= len(mask)
            there.append(mask)
            values.append(_decoded(body, encoding, column, int(mask.sum()), known))
    if not values:
        return np.zeros(0), np.zeros(0, bool)
    return np.concatenate(values), np.concatenate(there)


def _length(head: Record, field: int) -> int:
    length = int(head[field])
    if not 0 <= length <= MOST_PAGE_BYTES:
        raise DamagedError
    return length


def _count(said: Record, left: int) -> int:
    count = int(said[1])
    if not 0 <= count <= left:
        raise DamagedError
    return count


def _first(
    head: Record, packed: memoryview, codec: int, column: Column, spend: Spend, left: int
) -> tuple[Values, int, memoryview]:
    """A data page of the first kind: which rows have a value, and the values' bytes."""
    said = head[5]
    count = _count(said, left)
    body = _unpacked(packed, codec, _length(head, 2), spend)
    if not column.is_optional:
        if _has_levels(body, column, count):
            raise DamagedError
        return np.ones(count, bool), said[2], body
    if said[3] != _RLE:
        raise UnusualError
    (length,) = struct.unpack_from("<I", body)
    return _filled(body[4 : 4 + length], count), said[2], body[4 + length :]


def _has_levels(body: memoryview, column: Column, count: int) -> bool:
    """Whether levels stand before values that are said to have none.

    One bit at the end of the file says it, and they would be read as values. Some writers leave
    unused bytes behind the values.
    """
    values = count * np.dtype(_SIZES.get(column.kind, "V1")).itemsize
    if column.kind not in _SIZES or len(body) < values + 4:
        return False
    (length,) = struct.unpack_from("<I", body)
    return bool(4 + length + values == len(body))


def _filled(levels: memoryview, count: int) -> Values:
    """Which rows have a value, from the levels of a column in no other: 0 or 1."""
    read = runs(levels, 1, count)
    if (read > 1).any():
        raise DamagedError
    there: Values = read == 1
    return there


def _second(
    head: Record, packed: memoryview, codec: int, column: Column, spend: Spend, left: int
) -> tuple[Values, int, memoryview]:
    """A data page of the second kind, whose levels are not packed."""
    said = head[8]
    count = _count(said, left)
    levels = _length(said, 5) + _length(said, 6)
    mask = np.ones(count, bool)
    if column.is_optional:
        mask = _filled(packed[_length(said, 6) : levels], count)
    body = packed[levels:]
    if said.get(7, True):
        body = _unpacked(body, codec, max(_length(head, 2) - levels, 0), spend)
    return mask, said[4], body


def _unpacked(packed: memoryview, codec: int, size: int, spend: Spend) -> memoryview:
    import cramjam

    spend(size)
    if codec == 0:
        if size != len(packed):
            raise DamagedError
        return packed
    if size == 0:
        return packed[:0]
    unpack: dict[int, Callable[..., int]] = {
        1: cramjam.snappy.decompress_raw_into,
        2: cramjam.gzip.decompress_into,
        4: cramjam.brotli.decompress_into,
        6: cramjam.zstd.decompress_into,
        7: cramjam.lz4.decompress_block_into,
    }
    if codec not in unpack:
        raise UnusualError
    out = np.zeros(size, np.uint8)
    more = {"output_len": size} if codec == 7 else {}
    try:
        got = unpack[codec](np.frombuffer(packed, np.uint8), out, **more)
    except (cramjam.DecompressionError, OSError) as error:
        raise DamagedError from error
    if got != size:
        raise DamagedError
    return out.data


def _decoded(
    body: memoryview, encoding: int, column: Column, count: int, known: Values | None
) -> Values:
    if encoding == _PLAIN:
        return _plain(body, column, count)
    if encoding in (_PLAIN_DICTIONARY, _RLE_DICTIONARY) and known is not None:
        if count == 0:
            return known[:0]
        width = body[0]
        if width > 32:
            raise DamagedError
        return known[runs(body[1:], width, count)]
    if encoding == _RLE and column.kind == BOOLEAN:
        return runs(body[4:], 1, count)
    if encoding == _DELTA and column.kind in (INT32, INT64):
        return _deltas(body, count).astype(_SIZES[column.kind])
    if encoding == _SPLIT and column.kind in _SIZES | {FIXED: ""}:
        width = np.dtype(_SIZES.get(column.kind, f"V{max(column.width, 1)}")).itemsize
        parts = np.frombuffer(body, np.uint8, width * count).reshape(width, count)
        return _plain(np.ascontiguousarray(parts.T).reshape(-1).data, column, count)
    raise UnusualError


def _plain(body: memoryview, column: Column, count: int) -> Values:
    """Values one behind the other."""
    if count < 0:
        raise DamagedError
    if column.kind in _SIZES:
        return np.frombuffer(body, _SIZES[column.kind], count)
    if column.kind == BOOLEAN:
        packed = np.frombuffer(body, np.uint8, -(-count // 8))
        return np.unpackbits(packed, count=count, bitorder="little")
    if column.kind == BYTES:
        return _texts(body, count)
    width = 12 if column.kind == INT96 else column.width
    if not 0 < width <= 64:
        raise UnusualError
    return np.frombuffer(body, np.uint8, count * width).reshape(count, width)


def _texts(body: memoryview, count: int) -> Values:
    if 4 * count > len(body):
        raise DamagedError
    found, at = np.empty(count, object), 0
    for i in range(count):
        (length,) = struct.unpack_from("<I", body, at)
        at += 4 + length
        if at > len(body):
            raise DamagedError
        found[i] = bytes(body[at - length : min(at, at - length + 64)])
    return found


def runs(body: memoryview, width: int, count: int) -> Values:
    """(count,) numbers of `width` bits: runs of one, and groups of eight packed ones."""
    out, done, at = np.zeros(count, np.int64), 0, 0
    if width == 0:
        return out
    step = (width + 7) // 8
    while done < count:
        head, at = _varint(body, at)
        if head < 2:
            raise DamagedError  # runs of nothing would go on for as long as a page is
        if head & 1:
            take = min(head >> 1, -(-(count - done) // 8))
            got = _packed(body[at : at + take * width], width)
            fits = min(len(got), count - done)
            if fits < min(take * 8, count - done):
                raise DamagedError
            out[done : done + fits] = got[:fits].astype(np.int64)
            at += (head >> 1) * width
        else:
            fits = min(head >> 1, count - done)
            if at + step > len(body):
                raise DamagedError
            out[done : done + fits] = int.from_bytes(body[at : at + step], "little")
            at += step
        done += fits
    return out


def _packed(body: memoryview, width: int) -> NDArray[np.uint64]:
    """Numbers of `width` bits, lowest first."""
    raw = np.frombuffer(body, np.uint8)
    count = len(raw) * 8 // width
    made = np.empty(count, np.uint64)
    power = np.uint64(1) << np.arange(width, dtype=np.uint64)
    for begin in range(0, count, 8 * _BLOCK):
        part = raw[begin // 8 * width : (begin // 8 + _BLOCK) * width]
        flat = np.unpackbits(part, bitorder="little")
        bits = flat[: len(flat) // width * width].reshape(-1, width)
        made[begin : begin + len(bits)] = bits @ power
    return made


def _varint(body: memoryview, at: int) -> tuple[int, int]:
    value = shift = 0
    while shift < 70:
        byte = body[at]
        at += 1
        value |= (byte & 127) << shift
        if byte < 128:
            return value, at
        shift += 7
    raise DamagedError


def _deltas(body: memoryview, count: int) -> NDArray[np.uint64]:
    """(count,) numbers written as what each is more than the one before, modulo 2**64."""
    block, at = _varint(body, 0)
    parts, at = _varint(body, at)
    total, at = _varint(body, at)
    first, at = _varint(body, at)
    each = block // parts if parts else 0
    if not 0 < each <= 1 << 16 or not parts <= 512 or each % 8 or total < count:
        raise DamagedError
    steps: list[NDArray[np.uint64]] = [np.array([_unzigzag(first)], np.uint64)]
    left = count - 1
    while left > 0:
        least, at = _varint(body, at)
        widths = bytes(body[at : at + parts])
        if len(widths) < parts:
            raise DamagedError
        at += parts
        for width in widths[: -(-left // each)]:
            size = each // 8 * width
            if width > 64 or at + size > len(body):
                raise DamagedError
            got = _packed(body[at : at + size], width) if width else np.zeros(each, np.uint64)
            steps.append(got[:left] + np.uint64(_unzigzag(least)))
            at, left = at + size, left - len(steps[-1])
    made: NDArray[np.uint64] = np.cumsum(np.concatenate(steps)[:count], dtype=np.uint64)
    return made


def _unzigzag(value: int) -> int:
    return ((value >> 1) ^ -(value & 1)) & (2**64 - 1)
