"""Raising the dark parts of a picture."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.media.light import STRONGEST_GAMMA, lifted

RAMP = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)


def test_no_lift_is_the_picture_itself() -> None:
    assert lifted(RAMP, 0.0) is RAMP


@given(st.floats(0.001, 1.0))
def test_order_and_ends_stay(lift: float) -> None:
    levels = lifted(RAMP, lift)[0, :, 0].astype(int)
    assert levels[0] == 0
    assert levels[255] == 255
    assert np.all(np.diff(levels) >= 0)
    assert np.all(levels >= np.arange(256))


def test_full_lift_is_the_power_law() -> None:
    """The transfer of a display of gamma g is level ** g (ITU-R BT.1886); this undoes it."""
    assert lifted(RAMP, 1.0)[0, 30, 0] == pytest.approx(
        255 * (30 / 255) ** (1 / STRONGEST_GAMMA), abs=0.5
    )
