"""What the coach adds to a page besides the notes: opening, next session, name and logo."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class PageTexts:
    """The coach's own texts; what is empty is left out or taken from the notes.

    Attributes
    ----------
    opening : what to work on, in the coach's words; empty: the first cues of the notes
    next_session : what to row before the next film
    coach : the coach's name
    logo_png : a picture of the coach's own, or None
    """

    opening: str = ""
    next_session: str = ""
    coach: str = ""
    logo_png: bytes | None = None
