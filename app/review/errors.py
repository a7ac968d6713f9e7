"""What can go wrong with a review, told in one sentence."""

from __future__ import annotations


class ReviewError(ValueError):
    """A review, change or file that cannot be used. The message is one sentence for the user."""
