"""How a stored picture is turned to stand upright."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class Turn:
    """Quarter turns clockwise, then mirrored left to right."""

    quarter_turns: int = 0
    mirrored: bool = False

    @property
    def swaps_sides(self) -> bool:
        """Whether width and height change places."""
        return self.quarter_turns % 2 == 1

    def apply(self, image: NDArray[np.uint8]) -> NDArray[np.uint8]:
        """Turn an (H, W, C) picture; the result is contiguous."""
        turned = np.rot90(image, -self.quarter_turns) if self.quarter_turns % 4 else image
        if self.mirrored:
            turned = turned[:, ::-1]
        return np.ascontiguousarray(turned)

    def then(self, other: Turn) -> Turn:
        """Make one turn of two, this one first."""
        # Past a mirror, a clockwise turn is an anticlockwise one.
        quarters = -other.quarter_turns if self.mirrored else other.quarter_turns
        return Turn((self.quarter_turns + quarters) % 4, self.mirrored != other.mirrored)


def turn_of_matrix(matrix: bytes) -> Turn:
    """Read a display matrix (nine 32-bit numbers, ISO/IEC 14496-12, `tkhd`).

    The matrix takes a stored point (x, y) to (a x + c y, b x + d y), y downwards. Angles between
    quarter turns, which no phone writes, go to the nearest one.
    """
    if len(matrix) < 36:
        return Turn()
    a, b, _, c, d = (float(v) for v in np.frombuffer(matrix[:36], "=i4")[:5])
    mirrored = a * d - b * c < 0
    if mirrored:  # undo the mirror, which comes last, so that a plain turn is left
        a, c = -a, -c
    if a == b == c == d == 0:
        return Turn()
    angle = np.degrees(np.arctan2(b - c, a + d))
    return Turn(round(float(angle) / 90) % 4, mirrored)
