"""The page the athlete opens."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from analysis.force.curves import Axis
from app.bundle import colours
from app.bundle import words as wording
from app.bundle.notes import NoteCard
from app.bundle.pack import PAGE_MARK
from app.bundle.page_curves import (
    area_sentence,
    change_rows,
    crest,
    curve_view,
    number_rows,
    target_axis,
)
from app.bundle.page_notes import note_view
from app.bundle.page_texts import PageTexts
from app.bundle.sources import Sources
from app.bundle.strips import StripFiles
from app.bundle.text import one_line
from app.bundle.wheel import wheel_rows
from app.bundle.words import Words
from app.review.state import PHASES, ReviewState

_TEMPLATES = Path(__file__).parent / "templates"
_KINDS = {
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".mp4": "video/mp4",
    ".m4a": "audio/mp4",
    ".csv": "text/csv;charset=utf-8",
    ".vtt": "text/vtt;charset=utf-8",
    ".json": "application/json",
}


def render_page(
    state: ReviewState,
    sources: Sources,
    cards: Sequence[NoteCard],
    axes: Sequence[Axis],
    remarks: Sequence[str],
    words: Words,
    inline_from: Path | None = None,
    typical: StripFiles | None = None,
    texts: PageTexts | None = None,
    parts: Mapping[str, Any] | None = None,
) -> str:
    """Give the page as HTML.

    Parameters
    ----------
    axes : the axes curves were drawn on
    inline_from : the built folder, to put all of its files into the page; None to refer to them
    typical : the strip of the typical stroke, for a page without strips of its own
    texts : the coach's opening, next session, name and logo
    parts : what `walkthrough.html` and `comparison.html` need, by the names they use
    """
    style = _style()
    title = one_line(state.title) or words["default_title"]
    context: dict[str, Any] = {
        "w": words,
        "mark": PAGE_MARK,
        "csp": _policy(style, inline_from is not None),
        "style": style,
        "draft": state.draft,
        "title": title,
        "athlete": one_line(state.athlete),
        "notes": [note_view(card, state, sources, words) for card in cards],
        "phases": PHASES,
        "crest": crest(sources),
        # The target and what it changes stand side by side; the other axis follows.
        "curves": [
            curve_view(axis, sources, words)
            for axis in sorted(axes, key=lambda a: a != target_axis(sources))
        ],
        "has_target": sources.target is not None,
        "change": change_rows(sources, words),
        "change_caption": words[f"change_caption_{target_axis(sources)}"],
        "change_area": area_sentence(sources, words),
        "wheel": wheel_rows(sources, words),
        "wheel_limits": () if sources.flywheel is None else sources.flywheel.limits,
        "typical": typical,
        "numbers": number_rows(sources),
        "whole": max((s.count for s in sources.usual.values() if s is not None), default=0),
        "caution": wording.CAUTION if any(c.about_back for c in cards) else (),
        "next": _next_film(state),
        "remarks": remarks,
        "inlined": inline_from is not None,
        "asset": _inliner(inline_from) if inline_from is not None else lambda name: name,
        "texts": PageTexts() if texts is None else texts,
        **(parts or {}),
    }
    return _environment().get_template("index.html").render(context)


@cache
def _environment() -> Any:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    return Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )


@cache
def _style() -> str:
    """Give the style sheet with the bundle's colours filled in."""
    text = (_TEMPLATES / "style.css").read_text("utf-8")
    for name in ("BLACK", "INK", "QUIET_INK", "BLUE", "PAPER", "MIST", "BAND", "RULE", "EDGE"):
        text = text.replace(f"${name};", f"{getattr(colours, name)};")
    return "\n" + text


def _policy(style: str, inline: bool) -> str:
    """Give the content security policy: nothing from outside, no script, only this style."""
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    # Browsers differ on whether 'self' covers a page opened from a disk; file: does.
    own = "data:" if inline else "'self' file:"
    return (
        f"default-src 'none'; img-src {own}; media-src {own}; style-src 'sha256-{digest}'; "
        "base-uri 'none'; form-action 'none'"
    )


def _inliner(folder: Path) -> Callable[[str], str]:
    def asset(name: str) -> str:
        kind = _KINDS[Path(name).suffix]
        return f"data:{kind};base64," + base64.b64encode((folder / name).read_bytes()).decode()

    return asset


def _next_film(state: ReviewState) -> list[str]:
    advice = list(wording.NEXT_FILM)
    if state.video is None:
        advice.insert(0, wording.NEXT_VIDEO)
    if state.trace is None:
        advice.append(wording.NEXT_FORCE)
    advice.append(wording.NEXT_LINE_UP)
    return advice
