"""The one place of the analysis where OpenCV is imported."""

from __future__ import annotations

import os
from functools import cache
from types import ModuleType

_QT_VARIABLES = ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_QPA_FONTDIR")


@cache
def opencv() -> ModuleType:
    """Give the `cv2` module with the environment left as it was.

    Importing it points Qt at plugin and font folders of its own, which would reach the window.
    """
    before = {name: os.environ.get(name) for name in _QT_VARIABLES}
    import cv2

    for name, value in before.items():
        if value is None:
            os.environ.pop(name, None)
        else:
            os.environ[name] = value
    return cv2
