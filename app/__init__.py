"""The review bench: media, the review document, the window, the bundle, the commands."""

from typing import Final

VERSION: Final = "0.1.0"
