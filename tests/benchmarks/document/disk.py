"""A disk that may forget: which folders a power cut can leave, by what a program asked the system.

The model is the least a disk and a file system promise. What was written to a file since it was
last synced may be there or not, each sector of 512 bytes for itself and in any of the versions it
had; so may a change of its size. What was made, removed or renamed in a folder since that folder
was last synced may be there up to any point, in its order. Syncing a file does not keep its name.
"""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import dataclass, field
from pathlib import Path

SECTOR = 512


@dataclass(frozen=True)
class Written:
    """Bytes at an offset."""

    offset: int
    data: bytes


@dataclass(frozen=True)
class Resized:
    """The file was cut off or made longer."""

    size: int


@dataclass(eq=False)
class File:
    """One file, whatever its name: what is on the disk for sure, and what may be."""

    durable: bytearray = field(default_factory=bytearray)
    pending: list[Written | Resized] = field(default_factory=list)

    def write(self, offset: int, data: bytes) -> None:
        self.pending.append(Written(offset, data))

    def resize(self, size: int) -> None:
        self.pending.append(Resized(size))

    def sync(self) -> None:
        self.durable = self.now()
        self.pending.clear()

    def now(self) -> bytearray:
        """What programs see."""
        content = bytearray(self.durable)
        for op in self.pending:
            _apply(content, op)
        return content

    def after_cut(self, rng: random.Random, mode: str) -> bytes:
        """What a power cut may leave; `mode` is one of MODES."""
        if mode == "all" or not self.pending:
            return bytes(self.now())
        if mode == "none":
            return bytes(self.durable)
        size = rng.choice(self._sizes())
        content = self.durable[:size] + bytes(max(0, size - len(self.durable)))
        for sector, pieces in self._by_sector().items():
            start = sector * SECTOR
            for piece in pieces[: rng.choice((0, len(pieces), rng.randint(0, len(pieces))))]:
                first = start + piece.offset
                last = min(first + len(piece.data), size)
                if first < last:
                    content[first:last] = piece.data[: last - first]
        return bytes(content)

    def _sizes(self) -> list[int]:
        sizes = [len(self.durable)]
        for op in self.pending:
            end = op.size if isinstance(op, Resized) else max(
                sizes[-1], op.offset + len(op.data))  # fmt: skip
            sizes.append(end)
        return sizes

    def _by_sector(self) -> dict[int, list[Written]]:
        """The versions each sector went through, as bytes at an offset within it."""
        versions: dict[int, list[Written]] = defaultdict(list)
        size = len(self.durable)
        for op in self.pending:
            if isinstance(op, Resized):
                gone = Written(op.size, bytes(max(0, size - op.size)))
                size = op.size
            else:
                gone = op
                size = max(size, op.offset + len(op.data))
            at, end = gone.offset, gone.offset + len(gone.data)
            while at < end:
                stop = min(end, (at // SECTOR + 1) * SECTOR)
                piece = gone.data[at - gone.offset : stop - gone.offset]
                versions[at // SECTOR].append(Written(at % SECTOR, piece))
                at = stop
        return versions


def _apply(content: bytearray, op: Written | Resized) -> None:
    if isinstance(op, Resized):
        del content[op.size :]
        content.extend(bytes(op.size - len(content)))
        return
    end = op.offset + len(op.data)
    content.extend(bytes(max(0, end - len(content))))
    content[op.offset : end] = op.data


MODES = ("none", "all", "some", "some", "some")
Entry = "File | Folder"


@dataclass(eq=False)
class Folder:
    """One folder: its names for sure, and changes of names that may be lost from the last on."""

    durable: dict[str, File | Folder] = field(default_factory=dict)
    pending: list[dict[str, File | Folder | None]] = field(default_factory=list)

    def change(self, names: dict[str, File | Folder | None]) -> None:
        """Names that come, go (None) or mean another file, all at once."""
        self.pending.append(names)

    def sync(self) -> None:
        self.durable = self.now()
        self.pending.clear()

    def now(self, kept: int | None = None) -> dict[str, File | Folder]:
        """The names with the first `kept` of the pending changes, None for all of them."""
        names = dict(self.durable)
        for changed in self.pending[:kept]:
            for name, entry in changed.items():
                if entry is None:
                    names.pop(name, None)
                else:
                    names[name] = entry
        return names

    def after_cut(self, place: Path, rng: random.Random, mode: str) -> None:
        """Lay out in an empty folder what a power cut may leave."""
        place.mkdir(exist_ok=True)
        kept = {"none": 0, "all": len(self.pending)}.get(mode)
        for name, entry in self.now(rng.randint(0, len(self.pending)) if kept is None
                                    else kept).items():  # fmt: skip
            if isinstance(entry, Folder):
                entry.after_cut(place / name, rng, mode)
            else:
                (place / name).write_bytes(entry.after_cut(rng, mode))


def folder_from(place: Path) -> Folder:
    """A folder of the real disk, all of it for sure."""
    folder = Folder()
    for path in place.iterdir():
        folder.durable[path.name] = (
            folder_from(path) if path.is_dir() else File(bytearray(path.read_bytes()))
        )
    return folder
