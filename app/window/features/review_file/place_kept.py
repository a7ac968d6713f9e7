"""The place the coach was at in a review: moment, loop and tab, there again when it is opened."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject

from app.review.recordings.small_json import change_json, keep_newest, read_json, section
from app.review.review import Review
from app.window.session.playhead import Playhead, Span
from app.window.session.review_session import ReviewSession
from app.window.session.settings import data_folder
from app.window.widgets.side_tabs import SideTabs

MOST = 300  # reviews whose place is remembered


class PlaceKept(QObject):
    """Remembers where a review was left, on this machine and beside no review.

    What was kept is no work: a file that is damaged, or a moment the recordings no longer have,
    costs nothing but going there again.
    """

    def __init__(self, session: ReviewSession, playhead: Playhead, tabs: SideTabs) -> None:
        super().__init__(session)
        self._session, self._playhead, self._tabs = session, playhead, tabs
        self._shown: Review | None = None
        session.opening.connect(self.keep)
        session.opened.connect(self._go_back)

    def keep(self) -> None:
        """Remember where the open review stands."""
        review, loop = self._session.review, self._playhead.loop
        if review is None or review is not self._shown:
            return
        place: dict[str, Any] = {"at_s": self._playhead.moment_s, "tab": self._tabs.current_name}
        if loop is not None:
            place["loop_s"] = [loop.start_s, loop.end_s]
        review_id = review.state.review_id

        def change(data: dict[str, Any]) -> None:
            places = section(data, "places")
            places.pop(review_id, None)
            places[review_id] = place  # the newest last
            keep_newest(places, MOST)

        change_json(_file(), change)

    def _go_back(self) -> None:
        """Of a review just opened; one that gets another recording stays where it is."""
        review = self._session.review
        if review is self._shown or review is None:
            return
        self._shown = review
        places = read_json(_file()).get("places")
        place = places.get(review.state.review_id) if isinstance(places, dict) else None
        if not isinstance(place, dict):
            self._tabs.show_first()  # not where the last review was left
            return
        loop = _span(place.get("loop_s"), self._playhead.range)
        if loop is not None:
            self._playhead.set_loop(loop)
        at_s = _seconds(place.get("at_s"))
        if at_s is not None:
            self._playhead.seek(at_s)
        self._tabs.show_named(str(place.get("tab", "")))


def _file() -> Path:
    return data_folder() / "places.json"


def _seconds(told: object) -> float | None:
    if isinstance(told, bool) or not isinstance(told, int | float):
        return None
    return float(told) if abs(told) < 1e9 and math.isfinite(told) else None


def _span(told: object, within: Span) -> Span | None:
    """A loop that the recordings still have, None where it is none."""
    if not isinstance(told, list) or len(told) != 2:
        return None
    start_s, end_s = _seconds(told[0]), _seconds(told[1])
    if start_s is None or end_s is None or not within.start_s <= start_s < end_s <= within.end_s:
        return None
    return Span(start_s, end_s)
