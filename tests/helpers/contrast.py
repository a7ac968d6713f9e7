"""How well two colours stand apart, as WCAG 2.2 defines it."""

from __future__ import annotations


def luminance(colour: str) -> float:
    """Relative luminance of `#RRGGBB` as WCAG 2.2 defines it, 0 to 1."""
    channels = (int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours as WCAG 2.2 defines it, 1 to 21."""
    a, b = luminance(one), luminance(other)
    return (max(a, b) + 0.05) / (min(a, b) + 0.05)
