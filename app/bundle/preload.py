"""What a bundle needs at its end, loaded while its clips are being encoded.

Encoding leaves Python alone; loading the letters, the painter and the page's templates meanwhile
costs no time on the clock.
"""

from __future__ import annotations

import contextlib
import threading


def preload() -> threading.Thread:
    """Begin to load; nobody has to wait for it, whoever needs something loads what is missing."""
    thread = threading.Thread(target=_load, name="bundle-preload", daemon=True)
    thread.start()
    return thread


def _load() -> None:
    from app.bundle.page.page import compile_templates
    from app.scene.lettering import width_of

    with contextlib.suppress(Exception):  # it will be met, and told, where it is needed
        width_of("0")
        compile_templates()
