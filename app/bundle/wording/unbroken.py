"""Number and unit held together: a line of a narrow phone must not end between "51" and "%"."""

from __future__ import annotations

import re
from typing import Final

NO_BREAK: Final = "\u00a0"
# The units of the page, and those a coach types. A word, as "strokes", may go to the next line.
_UNITS: Final = (
    "%", "‰", "°", "N", "kN", "N/s", "N·s", "Ns", "Nm", "s", "ms", "min", "h", "m", "cm", "mm",
    "km", "m/s", "W", "kW", "J", "kJ", "kg", "kg/m", "px", "Hz", "spm", "s/m", "fps", "km/h",
    "{unit}",
)  # fmt: skip
# Each begins with its space: so a long text without one costs next to nothing.
_WITH_UNIT: Final = re.compile(
    # A number, or the place of one in a fixed wording.
    r" (?<=[\d}½¼¾] )(?=(?:"
    + "|".join(map(re.escape, sorted(_UNITS, key=len, reverse=True)))
    + r")(?![\w/’'·-]))"
)
_SIGN: Final = re.compile(r" (?<=[±×≈~<>≤≥−] )(?=[\d{])| (?<=[\d}] )(?=×)")
# French puts a space before these signs and inside its quotation marks, which never breaks.
_BEFORE_SIGN: Final = re.compile(r" (?<=\S )(?=[:;?!»])| (?<=« )(?=\S)")


def held(text: str) -> str:
    """Give a text with no-break spaces between numbers and their units, else as it is.

    Notes
    -----
    The spaces French sets before its signs are held as well; in other languages there are none.
    """
    text = _WITH_UNIT.sub(NO_BREAK, text)
    text = _SIGN.sub(NO_BREAK, text)
    return _BEFORE_SIGN.sub(NO_BREAK, text)
