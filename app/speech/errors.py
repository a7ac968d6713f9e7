"""The errors of this room."""

from __future__ import annotations


class SpeechError(ValueError):
    """A voice that cannot be written down. The message is one sentence for the user."""
