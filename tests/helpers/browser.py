"""Debian's Chromium for tests that look at a page as an athlete would."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, sync_playwright

from tests.helpers.patience import HANGS_MS

CHROMIUM = shutil.which("chromium")


def chromium() -> Iterator[Browser]:
    """Give a browser, and close it; the test is skipped where there is none."""
    if CHROMIUM is None:
        pytest.skip("Chromium is not here")
    with sync_playwright() as play:
        # A sandbox cannot be set up by root, who runs the checks in a container.
        args = ["--no-sandbox"] if os.geteuid() == 0 else []
        browser = play.chromium.launch(executable_path=CHROMIUM, args=args, timeout=HANGS_MS)
        for name in ("new_context", "new_page"):
            setattr(browser, name, _patient(getattr(browser, name)))
        yield browser
        browser.close()


def _patient(make: Callable[..., Any]) -> Callable[..., Any]:
    """What a browser makes, but waiting as long as it takes on a busy machine."""

    def made(**options: Any) -> Any:
        new = make(**options)
        new.set_default_timeout(HANGS_MS)
        return new

    return made
