"""Short names of two strokes: what their labels have in common says nothing about either."""

from __future__ import annotations

_BETWEEN = " · "  # as labels are made, see comparison_source.py
NO_LABEL = "no label"


def apart(left: str, right: str) -> tuple[str, str]:
    """What tells two labels apart: their parts without those that both begin with.

    The left stroke is of this review: beside one from elsewhere, its last part names it.
    """
    one, other = left.split(_BETWEEN), right.split(_BETWEEN)
    if one[0] != other[0]:
        one = one[-1:]
    while len(one) > 1 and len(other) > 1 and one[0] == other[0]:
        one, other = one[1:], other[1:]
    return _BETWEEN.join(one) or NO_LABEL, _BETWEEN.join(other) or NO_LABEL
