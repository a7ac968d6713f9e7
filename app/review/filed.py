"""A review as far as its file goes: where it lies, and the voices and pictures in it."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from app.review.keeping import Keeping
from app.review.parts.state import ReviewState

_PNG: Final = b"\x89PNG\r\n\x1a\n"


_MOST_LOGO_BYTES: Final = 1_000_000  # 480 by 160 px are 307 200 bytes before they are packed


class Filed:
    """A state with the file that keeps it.

    Parameters
    ----------
    keeping : its file
    """

    def __init__(self, state: ReviewState, keeping: Keeping) -> None:
        self._state = state
        self._keeping = keeping

    def protect(self, data_folder: Path) -> None:
        """Keep earlier versions, and what cannot be saved in its place, in the user's folder."""
        self._keeping.protect(data_folder)

    def keep_sound(self, sound_id: str, wav: bytes) -> None:
        """Take samples of a voice in; the change that refers to them writes them with it."""
        self._keeping.assets[sound_id] = wav

    def sound(self, sound_id: str) -> bytes:
        """Return the samples of a voice as a WAV file; raises ReviewError when they are gone."""
        return self._keeping.asset(sound_id)

    def keep_logo(self, logo_id: str, png: bytes) -> None:
        """Take a logo in; the change that names it writes it with it."""
        self._keeping.assets[logo_id] = png

    @property
    def path(self) -> Path | None:
        """The review file; it follows one that is renamed within its folder."""
        return self._keeping.path

    @property
    def rescue_path(self) -> Path | None:
        """Where what could not be saved in its place lies meanwhile."""
        return self._keeping.rescued

    def lay_aside(self) -> Path | None:
        """Put what is unsaved into a copy now, from any thread; None where that cannot be done."""
        return self._keeping.lay_aside(self._state)

    def logo(self) -> bytes | None:
        """Return the logo that is sent as PNG, None where there is none."""
        found = self._keeping.asset_or_none(self._state.sending.logo_id, _MOST_LOGO_BYTES)
        # A stranger's review can name a voice there, which the page would carry along unheard.
        return found if found is not None and found.startswith(_PNG) else None
