"""What the target would change on a flywheel, as rows of a table."""

from __future__ import annotations

from app.bundle.sources.recordings import Sources
from app.bundle.wording.measure_words import MeasureWord
from app.bundle.wording.words import Words

# Name among the figures, and digits shown. Mean power comes last: it hardly changes, and why.
_ROWS = (
    ("drive_s", 2),
    ("peak_handle_m_s", 2),
    ("peak_power_w", 0),
    ("rfd_n_per_s", 0),
    ("fluctuation_pct", 1),
    ("mean_power_w", 0),
)


def wheel_rows(sources: Sources, words: Words) -> list[dict[str, str]]:
    """Give title, now, target and difference of each figure; empty where none can be told."""
    wheel = sources.flywheel
    if wheel is None:
        return []
    rows = []
    for name, digits in _ROWS:
        word = MeasureWord(name, words[f"wheel_{name}"], "", "", digits, decimal=words["decimal"])
        now, aim = getattr(wheel.before, name), getattr(wheel.after, name)
        # From the figures shown, so that a reader who subtracts finds the same.
        gap = round(round(aim, digits) - round(now, digits), digits)
        rows.append(
            {
                "title": word.title,
                "now": word.show(now),
                "target": word.show(aim),
                "gap": words["change_same"] if gap == 0 else word.show(gap, signed=True),
            }
        )
    return rows
