"""Units a force may be written in, and what one of them is worth.

A load cell that writes volts or counts is worth what two known loads say; that factor is kept in
the place of a unit, as "245.3 N/V".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

import numpy as np

from analysis.force.trace import TraceError
from analysis.signals.units import heading, known_unit

# One kilogram-force is 9.80665 N exactly: standard acceleration of free fall, 3rd CGPM 1901,
# ISO 80000-4. One pound-force is 4.448 221 615 260 5 N exactly: NIST SP 811, appendix B.
NEWTONS: Final = {"N": 1.0, "kgf": 9.80665, "lbf": 4.4482216152605, "kN": 1000.0, "daN": 10.0}
# Names of units as they stand in headers. A load cell's "kg" is a kilogram-force.
FORCE_UNITS: Final = {
    "n": "N", "newton": "N", "newtons": "N",
    "kgf": "kgf", "kp": "kgf", "kg": "kgf",
    "lbf": "lbf", "lb": "lbf", "lbs": "lbf",
    "kn": "kN", "dan": "daN",
}  # fmt: skip
# Units of nothing but a force; kg and lb may be a weight, a small n a count, a small kn knots.
SURE_UNITS: Final = {
    **{u: FORCE_UNITS[u] for u in ("newton", "newtons", "kgf", "kp", "lbf", "dan")},
    "N": "N",
    "kN": "kN",
}
RAW: Final = {"v", "mv", "volt", "volts", "mv/v", "counts", "count", "adc", "digits", "raw"}
_CALIBRATED: Final = re.compile(
    r"([+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?)\s*N\s*(?:/|per)\s*([^\W\d_]{1,10}(?:/V)?)"
)


def newtons(unit: str) -> float | None:
    """Newtons of one, by its unit or by its calibration; None where it is neither."""
    known = NEWTONS.get(unit)
    if known is not None:
        return known
    found = _CALIBRATED.fullmatch(unit.strip())
    if found is None:
        return None
    factor = float(found[1].replace(",", "."))
    return factor if np.isfinite(factor) and factor != 0.0 else None


def unit_of_force(said: str) -> str | None:
    """The unit somebody names, or their calibration ("245 N/V"); None where it is neither."""
    known = FORCE_UNITS.get(said.strip().lower())
    if known is not None:
        return known
    found = _CALIBRATED.fullmatch(said.strip())
    factor = newtons(said)
    return None if found is None or factor is None else f"{factor:.9g} N/{found[2]}"


def by_known_loads(loads: Sequence[tuple[float, float]], unit: str = "") -> str:
    """The calibration that readings under known loads give, by a line through them.

    Parameters
    ----------
    loads : reading in the unit of the file, and load in newtons, of two loads or more
    unit : what the file writes, "V" for one

    Raises
    ------
    TraceError
        Fewer than two loads, or readings that do not differ.
    """
    reading, load = np.array(loads, dtype=np.float64).reshape(-1, 2).T
    if len(reading) < 2 or np.ptp(reading) == 0.0 or np.ptp(load) == 0.0:
        raise TraceError(
            "A calibration needs the readings under two different loads, nothing hung on being one."
        )
    factor = float(np.polyfit(reading, load, 1)[0])
    return f"{factor:.9g} N/{unit or 'unit'}"


def written_unit(name: str) -> str:
    """The unit a heading names, whatever it is of; "" where it names none."""
    written = heading(name)[1]
    last = name.strip().rpartition(" ")[2].rpartition("_")[2]
    return written or (last if last.lower() in RAW or known_unit(last) else "")


def headed_calibration(name: str) -> str | None:
    """The calibration a heading carries, as "Force [245 N/V]"; None where it carries none."""
    written = heading(name)[1]
    return None if written in NEWTONS or newtons(written) is None else unit_of_force(written)


def two_cells_said(first: str, second: str, name: str) -> str:
    """What is said of a left and a right load cell in a file without a calibration of each."""
    return (
        f"“{first}” and “{second}” in {name} are two load cells, and one calibration cannot be "
        "right for both; write each one's own into its heading, as [245 N/V], or take one hand "
        "alone with --force-column."
    )


def is_raw(unit: str) -> bool:
    """Whether a unit is what a load cell writes before anybody says what it is worth."""
    return unit.lower() in RAW
