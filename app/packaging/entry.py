"""Where the built application begins: the command `strokeside`, and its own child processes."""

from __future__ import annotations

import multiprocessing
import runpy
import sys
from typing import Final

# A child is started as `python -m MODULE`; the application stands in for `python` there.
CHILDREN: Final = ("app.window.tasks.process_child", "app.media.proxy_build")


def main() -> int:
    """Run as a child where one is asked for, otherwise as the command; returns its status."""
    if len(sys.argv) == 3 and sys.argv[1] == "-m" and sys.argv[2] in CHILDREN:
        name = sys.argv[2]
        sys.argv = [name]
        runpy.run_module(name, run_name="__main__", alter_sys=True)
        return 0
    multiprocessing.freeze_support()
    from app.commands.program import main as command

    return command()


if __name__ == "__main__":
    sys.exit(main())
