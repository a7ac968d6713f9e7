"""By which a bundle is known again: in its record, and in the head of its page."""

from __future__ import annotations

FORMAT = "strokeside-feedback"
PAGE_MARK = f'<meta name="generator" content="{FORMAT}">'
OPEN_ME = "open-me.html"  # what the page is called in a .zip
