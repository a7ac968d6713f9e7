"""What can go wrong with the shelf."""

from __future__ import annotations


class ShelfError(ValueError):
    """The shelf, or a file of explanations, cannot be used; one sentence for the user."""
