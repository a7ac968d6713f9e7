"""The one error of this room."""

from __future__ import annotations


class BodyError(ValueError):
    """Points that cannot be followed or read. The message is one sentence for the user."""
