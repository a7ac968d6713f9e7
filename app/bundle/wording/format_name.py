"""By which a bundle is known again: in its record, and in the head of its page."""

from __future__ import annotations

FORMAT = "strokeside-feedback"
PAGE_MARK = f'<meta name="generator" content="{FORMAT}">'
