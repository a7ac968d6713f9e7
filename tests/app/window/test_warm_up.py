"""What is loaded ahead exists."""

from __future__ import annotations

import gc
import sys

from app.window.warm_up import MODULES, warm_up
from tests.helpers.patience import HANGS_S


def test_everything_named_is_loaded() -> None:
    gc.unfreeze()  # what the tests have set aside themselves (tests/conftest.py)
    thread = warm_up()
    thread.join(HANGS_S)
    assert not thread.is_alive()
    assert set(MODULES) <= set(sys.modules)
    assert gc.get_freeze_count() > 100_000  # no thread stops for looking through it
