"""A folder for disposable files that no other user of the machine can look into."""

from __future__ import annotations

import contextlib
import os
import re
import stat
import sys
import tempfile
from pathlib import Path


def private_folder() -> Path:
    """Return this user's own folder among the temporary files, made where it is missing.

    Raises
    ------
    PermissionError
        Something else lies in its place: a link, a file, or a folder of another user.
    OSError
        It cannot be made.
    """
    folder = Path(tempfile.gettempdir()) / f"strokeside-{_user()}"
    with contextlib.suppress(FileExistsError):
        folder.mkdir(0o700)
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode) or not is_mine(found):
        raise PermissionError(
            f"{folder} is not a folder of yours, so nothing is put there; have it removed."
        )
    if sys.platform != "win32" and stat.S_IMODE(found.st_mode) != 0o700:
        folder.chmod(0o700)
    return folder


def is_mine(found: os.stat_result) -> bool:
    """Whether a file belongs to the user; on Windows the temporary files are the user's anyway."""
    if sys.platform == "win32":
        return True
    else:  # noqa: RET505 - each system is checked by itself, and sees one of the two
        return found.st_uid == os.geteuid()


def _user() -> str:
    if sys.platform == "win32":
        return re.sub(r"\W", "-", os.environ.get("USERNAME", "user"))
    else:  # noqa: RET505 - as above
        return str(os.geteuid())
