"""Putting a finished bundle in its place: whole or not at all, and never over somebody's files."""

from __future__ import annotations

import ctypes
import json
import os
import shutil
import sys
import zipfile
from pathlib import Path

from app.bundle.wording.errors import BundleError
from app.bundle.wording.format_name import FORMAT, OPEN_ME, PAGE_MARK
from app.bundle.workshop import OLD
from app.files import atomic

# Folders that a file browser leaves its own files in.
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
# The first moment a .zip can name; the real one would make the same review differ.
_ZIP_TIME = (1980, 1, 1, 0, 0, 0)


def check_target(out: Path, as_folder: bool) -> None:
    """Refuse a place that holds anything but an older bundle.

    Raises
    ------
    BundleError
        There is something there that writing would destroy.
    """
    if not out.exists():
        return
    if as_folder != out.is_dir():
        kind, other = ("folder", "file") if as_folder else ("file", "folder")
        raise BundleError(
            f"{out.name} is a {other}, not a {kind}; choose another name. Nothing was written."
        )
    stranger = _stranger_in(out) if as_folder else (None if _is_bundle_file(out) else out.name)
    if stranger is not None:
        raise BundleError(
            f"{out.name} holds something that is not part of a feedback bundle ({stranger}); "
            "choose another name or an empty folder. Nothing was changed."
        )


def put_folder(built: Path, out: Path) -> None:
    """Move a finished folder to `out`, in exchange for the bundle that may lie there."""
    for name in files_in(built) if built.exists() else ():
        atomic.sync_path(built / name)
    old: Path | None = None
    if out.exists() and not _exchange(built, out):
        old = built.with_name(built.name + OLD)
        out.rename(old)
    if not out.exists():
        try:
            built.rename(out)
        except OSError:
            if old is not None:
                old.rename(out)
            raise
    atomic.sync_folder(out.parent)
    if old is not None:
        shutil.rmtree(old, ignore_errors=True)


def put_file(built: Path, out: Path) -> None:
    """Move a finished file to `out`, over the bundle that may lie there."""
    atomic.sync_path(built)
    built.replace(out)
    atomic.sync_folder(out.parent)


def zip_folder(folder: Path, out: Path) -> None:
    """Pack a folder: sorted, with fixed times and rights, so that equal content is equal bytes.

    The page is called `OPEN_ME` there: among folders and tables nobody knows what an index is.
    """
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, packed_as in sorted(zip_names(folder).items(), key=lambda pair: pair[1]):
            entry = zipfile.ZipInfo(packed_as, _ZIP_TIME)
            entry.external_attr = 0o644 << 16
            entry.create_system = 3
            packed = name.endswith((".png", ".mp4", ".m4a"))
            entry.compress_type = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
            with archive.open(entry, "w") as sink, (folder / name).open("rb") as source:
                shutil.copyfileobj(source, sink, 1 << 20)


def zip_names(folder: Path) -> dict[str, str]:
    """Give what each file of a folder is called in a .zip."""
    return {name: OPEN_ME if name == "index.html" else name for name in files_in(folder)}


def files_in(folder: Path) -> tuple[str, ...]:
    """All files below a folder, relative, with forward slashes, sorted."""
    return tuple(
        sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir())
    )


def _stranger_in(folder: Path) -> str | None:
    """Name a file in a folder that no bundle of ours put there, None if there is none."""
    present = [n for n in files_in(folder) if n.rsplit("/", 1)[-1] not in _LITTER]
    if not present:
        return None
    try:
        record = json.loads((folder / "review.json").read_text("utf-8"))
        # What was unpacked from a .zip has its page under that name.
        ours = {*record["files"], OPEN_ME} if record["format"] == FORMAT else set()
    except (OSError, ValueError, KeyError, TypeError):
        ours = set()
    return next((name for name in present if name not in ours), None)


def _is_bundle_file(path: Path) -> bool:
    if path.stat().st_size == 0:
        return True
    if zipfile.is_zipfile(path):
        try:
            with zipfile.ZipFile(path) as archive:
                record = json.loads(archive.read("review.json"))
            return bool(record["format"] == FORMAT)
        except (OSError, ValueError, KeyError, TypeError, zipfile.BadZipFile):
            return False
    with path.open("rb") as file:
        return PAGE_MARK.encode() in file.read(4096)


def _exchange(one: Path, other: Path) -> bool:
    """Swap two folders in one step where the system can, so that no moment is without a bundle."""
    if sys.platform == "linux":
        swap = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
        here, exchange = -100, 2  # AT_FDCWD and RENAME_EXCHANGE of renameat2(2)
        if swap is not None:
            return bool(swap(here, os.fsencode(one), here, os.fsencode(other), exchange) == 0)
    return False
