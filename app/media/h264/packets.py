"""What is in a stored packet of H.264: its units, and the parameter sets they lean on.

Rec. ITU-T H.264, clauses 7.3 and 7.4.1; ISO/IEC 14496-15, 5.3.3 (how MP4 keeps them).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

_SLICE, _IDR, _SPS, _PPS = 1, 5, 7, 8
# Data partitions and auxiliary pictures: nobody who plays clips can do anything with them.
_STRANGE: Final = frozenset({2, 3, 4, 19})
# Baseline, Main and High. Decoders that go from others to what is encoded anew show wrong pictures.
_PROFILES: Final = frozenset({66, 77, 100})
_START: Final = b"\x00\x00\x00\x01"
_MOST_IDS: Final = 32


class NotCopied(Exception):
    """A packet is not one that can be taken as it is."""


@dataclass(frozen=True)
class ParameterSets:
    """The parameter sets of a recording, as MP4 keeps them beside the pictures.

    Attributes
    ----------
    sps, pps : without a start code
    length_bytes : how many bytes say how long a unit of a packet is
    """

    sps: tuple[bytes, ...]
    pps: tuple[bytes, ...]
    length_bytes: int

    def free_id(self) -> int:
        """A number that none of the sets has, for those of what is encoded anew.

        Raises
        ------
        NotCopied
            They have all that an encoder can give, or are damaged.
        """
        used = {_number(s[4:]) for s in self.sps} | {_number(p[1:]) for p in self.pps}
        for number in range(_MOST_IDS):
            if number not in used:
                return number
        raise NotCopied


def sets_of(extradata: bytes | None) -> ParameterSets:
    """Read the parameter sets of a recording (the record of ISO/IEC 14496-15, 5.3.3.1).

    Raises
    ------
    NotCopied
        They are kept in another way, or are damaged.
    """
    data = extradata or b""
    if len(data) < 7 or data[0] != 1:
        raise NotCopied
    at, found = 5, []
    for mask in (0x1F, 0xFF):
        if at >= len(data):
            raise NotCopied
        count, at = data[at] & mask, at + 1
        some = []
        for _ in range(count):
            size = int.from_bytes(data[at : at + 2])
            some.append(data[at + 2 : at + 2 + size])
            at += 2 + size
        found.append(tuple(some))
    sets = ParameterSets(found[0], found[1], (data[4] & 3) + 1)
    if at > len(data) or not all(found) or min(map(len, (*sets.sps, *sets.pps))) < 2:
        raise NotCopied
    if not all(s[1] in _PROFILES for s in sets.sps):
        raise NotCopied
    return sets


def pictures_of(packet: bytes, sets: ParameterSets) -> bytes:
    """The slices of a stored packet, each behind a start code, and nothing else that is in it.

    What a camera puts beside the picture (its place, the time of day) is left out.

    Raises
    ------
    NotCopied
        It is damaged, or leans on other parameter sets than the recording names.
    """
    known = {_SPS: sets.sps, _PPS: sets.pps}
    kept = []
    for unit in _units(packet, sets.length_bytes):
        kind = unit[0] & 31
        if kind in (_SLICE, _IDR):
            kept.append(_START + unit)
        elif kind in _STRANGE or unit not in known.get(kind, (unit,)):
            raise NotCopied
    if not kept:
        raise NotCopied
    return b"".join(kept)


def begins_anew(pictures: bytes) -> bool:
    """Whether nothing before what `pictures_of` gave is needed, nor by anything after it."""
    return len(pictures) > len(_START) and pictures[len(_START)] & 31 == _IDR


def with_sets(pictures: bytes, sets: Sequence[bytes]) -> bytes:
    """Put parameter sets in front of pictures."""
    return b"".join(_START + s for s in sets) + pictures


def encoded_parts(packet: bytes) -> tuple[tuple[bytes, ...], bytes]:
    """Parameter sets and slices of a packet with start codes, as an encoder gives it."""
    sets, slices = [], []
    for unit in _started(packet):
        kind = unit[0] & 31
        if kind in (_SPS, _PPS):
            sets.append(unit)
        elif kind in (_SLICE, _IDR):
            slices.append(_START + unit)
    return tuple(sets), b"".join(slices)


def _units(packet: bytes, length_bytes: int) -> list[bytes]:
    units, at = [], 0
    while at < len(packet):
        size = int.from_bytes(packet[at : at + length_bytes])
        at += length_bytes
        if size < 1 or at + size > len(packet):
            raise NotCopied
        units.append(packet[at : at + size])
        at += size
    return units


def _started(packet: bytes) -> list[bytes]:
    pieces = packet.split(b"\x00\x00\x01")[1:]
    # The last zero of a longer start code belongs to the code, as do zeros that fill up.
    return [unit for piece in pieces if (unit := piece.rstrip(b"\x00"))]


def _number(data: bytes) -> int:
    """The first number of a set, written as clause 9.1 has it (unsigned Exp-Golomb)."""
    bits = "".join(f"{byte:08b}" for byte in data[:8])
    zeros = len(bits) - len(bits.lstrip("0"))
    if 2 * zeros + 1 > len(bits):
        raise NotCopied
    return int(bits[zeros : 2 * zeros + 1], 2) - 1
