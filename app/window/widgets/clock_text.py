"""How times are written on the bench."""

from __future__ import annotations


def clock_text(time_s: float, decimals: int = 2) -> str:
    """Minutes and seconds, as 1:04.25; negative before the footage starts."""
    scale = 10**decimals
    ticks = round(abs(time_s) * scale)
    minutes, rest = divmod(ticks, 60 * scale)
    sign = "−" if time_s < 0 and ticks else ""
    seconds, part = divmod(rest, scale)
    fraction = f".{part:0{decimals}d}" if decimals else ""
    return f"{sign}{minutes}:{seconds:02d}{fraction}"
