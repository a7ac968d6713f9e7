"""Systems that lock otherwise than the one the checks run on.

Each function takes the place of `app.files.locks.lock_handle`; a child process takes one by name.
"""

from __future__ import annotations

import errno
import fcntl
import os
import subprocess
import sys
from pathlib import Path

from app.files import locks

ROOT = Path(__file__).parents[2]


def one_byte(handle: int) -> bool:
    """As Windows does: the first byte of the file is held, not the file."""
    try:
        fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, 0, os.SEEK_SET)
    except OSError as error:
        if error.errno in (errno.EACCES, errno.EAGAIN):
            return False
        raise
    return True


def no_locks(_handle: int) -> bool:
    """As a disk in the network that knows none."""
    raise locks.NoLocksError(errno.ENOLCK, "no locks available")


SYSTEMS = {"own": locks.lock_handle, "one byte": one_byte, "none": no_locks}


def child(system: str, work: str, *arguments: str) -> subprocess.Popen[str]:
    """Start a process that works on such a system; it says "ready" and stays until it is killed."""
    lines = (
        "import sys",
        "from pathlib import Path",
        "from app.files import locks",
        "from tests.helpers.lock_systems import SYSTEMS",
        f"locks.lock_handle = SYSTEMS[{system!r}]",
        work,
        "print('ready', flush=True)",
        "sys.stdin.read()",
    )
    started = subprocess.Popen(
        [sys.executable, "-c", "\n".join(lines), *arguments],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert started.stdout is not None and started.stdout.readline() == "ready\n"
    return started


def kill(started: subprocess.Popen[str]) -> None:
    """End it at once, as the power would."""
    started.kill()
    started.wait()
    for pipe in (started.stdin, started.stdout):
        if pipe is not None:
            pipe.close()
