"""What this program says of itself; loaded by everybody, so it loads nothing."""

from typing import Final

VERSION: Final = "0.1.0"
