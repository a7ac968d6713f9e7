"""Debian's Chromium for tests that look at a page as an athlete would."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

CHROMIUM = shutil.which("chromium")


def chromium() -> Iterator[Browser]:
    """Give a browser, and close it; the test is skipped where there is none."""
    if CHROMIUM is None:
        pytest.skip("Chromium is not here")
    with sync_playwright() as play:
        # A sandbox cannot be set up by root, who runs the checks in a container.
        args = ["--no-sandbox"] if os.geteuid() == 0 else []
        browser = play.chromium.launch(executable_path=CHROMIUM, args=args)
        yield browser
        browser.close()
