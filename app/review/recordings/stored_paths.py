"""The path a review stores of a recording, and the place on this machine it stands for.

Nothing here touches a disk. A stored path has forward slashes on every system, so that a folder
can be carried from one to another.
"""

from __future__ import annotations

import ntpath
import posixpath
import re
from pathlib import PurePath, PureWindowsPath
from types import ModuleType
from typing import Final, TypeVar

from app.review.values.errors import ReviewError
from app.review.values.text import clean_name

# Farther up than this, review and recordings are not one folder that is moved as a whole.
LARGEST_CLIMB: Final = 2
_LONGEST_NAME_BYTES: Final = 255  # of one folder or file, on all common file systems
_LONGEST_PATH: Final = 4096
_DEVICES: Final = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³]|conin\$|conout\$)", re.I)

AnyPath = TypeVar("AnyPath", bound=PurePath)


def to_stored(path: PurePath, folder: PurePath) -> str:
    """Return the path to store: relative where the two lie close, whole elsewhere.

    Parameters
    ----------
    path, folder : absolute, of the same kind of system; the folder is that of the review

    Raises
    ------
    ReviewError
        The name would be read as another one elsewhere; the message says what to do.
    """
    rules = _rules(folder)
    whole = type(folder)(rules.normpath(path))
    text = whole.as_posix()
    try:
        relative = type(folder)(rules.relpath(whole, folder))
    except ValueError:  # another drive
        relative = whole
    if relative.parts.count("..") <= LARGEST_CLIMB:
        text = relative.as_posix()
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise ReviewError(
            f"The path of {path.name!a} holds bytes that are no text; rename it and try again."
        ) from None
    if "\\" in text:
        raise ReviewError(
            f"The path of {clean_name(path.name)} holds a backslash, which other systems read as a"
            " folder; rename it and try again."
        )
    if not whole.drive and PureWindowsPath(text).drive and not text.startswith("/"):
        text = f"./{text}"  # "a: catch.mp4" is a name here, not a drive
    return text


def from_stored(stored: str, folder: AnyPath) -> AnyPath | None:
    """Return the place a stored path stands for, lexically; it need not exist.

    Parameters
    ----------
    folder : of the review, absolute; its kind of system is the one of this machine

    Returns
    -------
    The place, or None where the path belongs to another kind of system or names a device.

    Raises
    ------
    ReviewError
        No file can have that name.
    """
    text = stored.replace("\\", "/")
    if not text or "\0" in text:
        raise ReviewError(
            "A path in this review is damaged: no file has such a name; choose it again."
        )
    parts = text.split("/")
    lengths = (len(part.encode("utf-8", "surrogatepass")) for part in parts)
    if len(text) > _LONGEST_PATH or max(lengths) > _LONGEST_NAME_BYTES:
        raise ReviewError(
            "A path in this review is longer than any file's can be; choose it again."
        )
    as_windows = PureWindowsPath(text)
    if isinstance(folder, PureWindowsPath):
        usable = _usable_on_windows(as_windows, parts)
    else:
        usable = not as_windows.drive and not text.startswith("//")
    if not usable:
        return None
    return type(folder)(_rules(folder).normpath(folder / text))


def name_of(stored: str) -> str:
    """Return the name of a recording for a message, without the folders it lies in."""
    return clean_name(
        stored.replace("\\", "/").rstrip("/").rsplit("/", 1)[-1][:_LONGEST_NAME_BYTES]
    )


def _usable_on_windows(path: PureWindowsPath, parts: list[str]) -> bool:
    if path.root and not path.drive:
        return False  # from the root of another kind of system
    if path.drive and not path.root:
        return False  # wherever that drive happens to stand
    if path.drive.startswith(("\\\\.", "\\\\?")):
        return False
    names = parts[1:] if re.fullmatch("[A-Za-z]:", parts[0]) else parts
    return not any(":" in n or _DEVICES.fullmatch(n.split(".")[0].rstrip()) for n in names)


def _rules(folder: PurePath) -> ModuleType:
    return ntpath if isinstance(folder, PureWindowsPath) else posixpath
