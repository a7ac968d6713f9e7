"""Where this user's data lies, for what runs without a window; the window asks Qt for the same."""

from __future__ import annotations

import sys
from pathlib import Path


def data_folder() -> Path:
    """Where reviews, reference strokes and what was chosen on this machine lie."""
    from platformdirs import user_data_path

    return user_data_path("strokeside", appauthor=False)


def library_folder() -> Path:
    """Where the coach's reference strokes lie."""
    return data_folder() / "references"


def cache_folder() -> Path:
    """Where disposable things lie, which may be deleted at any time; the window asks Qt for it."""
    if sys.platform == "win32":
        # Qt's place for caches there is another one than platformdirs'.
        from platformdirs import user_data_path

        return user_data_path("cache", appauthor=False) / "strokeside"
    else:  # noqa: RET505 - each system is checked by itself, and sees one of the two
        from platformdirs import user_cache_path

        return user_cache_path("strokeside", appauthor=False)


def config_folder() -> Path:
    """Where settings and the coach's own wording lie."""
    if sys.platform == "darwin":
        # Qt's place for settings there is another one than platformdirs'.
        return Path.home() / "Library" / "Preferences" / "strokeside"
    else:  # noqa: RET505 - each system is checked by itself, and sees one of the two
        from platformdirs import user_config_path

        return user_config_path("strokeside", appauthor=False)


def wording_path() -> Path:
    """Where a coach's own wording of the findings lies, if there is any."""
    return config_folder() / "findings.toml"


def defaults_path() -> Path:
    """Where what a coach has settled for all reviews lies, if there is anything."""
    return data_folder() / "my-defaults.json"
