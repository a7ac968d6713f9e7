"""What can go wrong with a bundle, told in one sentence."""

from __future__ import annotations


class BundleError(ValueError):
    """A bundle that cannot be written. The message is one sentence for the user."""


class BundleCancelled(Exception):
    """The writing was stopped as asked; what lay there before is untouched."""
