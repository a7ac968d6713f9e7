"""A walkthrough as if it had been recorded."""

from __future__ import annotations

from app.review.parts.walkthroughs import AddWalkthrough, Walkthrough, new_walkthrough
from app.window.main_window import MainWindow


def recorded_walk(bench: MainWindow, *events, length_s: float = 10.0) -> Walkthrough:
    walk = new_walkthrough(events, length_s, title="Walkthrough 1")
    bench.session.do(AddWalkthrough(walk))
    return walk
