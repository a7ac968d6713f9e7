"""Names from outside, fit for a sentence."""

from __future__ import annotations


def plain(text: str, most: int = 60) -> str:
    """Return a name without control, escape and direction characters, cut to a length.

    Parameters
    ----------
    most : characters kept; a longer name ends in an ellipsis
    """
    # Twice the length first, so that a name of megabytes costs nothing.
    kept = "".join(c for c in text[: 2 * most] if c.isprintable())
    return kept if len(kept) <= most and len(text) <= 2 * most else kept[:most] + "…"
