"""Which version all of this is; the one place that says it."""

from typing import Final

VERSION: Final = "0.1.0"
