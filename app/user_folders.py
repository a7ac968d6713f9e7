"""Where this user's data lies, for what runs without a window; the window asks Qt for the same."""

from __future__ import annotations

from pathlib import Path


def data_folder() -> Path:
    """Where reviews, reference strokes and what was chosen on this machine lie."""
    from platformdirs import user_data_path

    return user_data_path("strokeside", appauthor=False)


def library_folder() -> Path:
    """Where the coach's reference strokes lie."""
    return data_folder() / "references"
