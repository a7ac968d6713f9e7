"""The one error of this package."""

from __future__ import annotations


class MediaError(ValueError):
    """Footage or sound that cannot be used; its text is one sentence for the user."""
