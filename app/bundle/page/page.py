"""The page the athlete opens."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from analysis.force.curves import Axis
from app.bundle.notes.note_cards import NoteCard
from app.bundle.page.own_words import own_words
from app.bundle.page.page_curves import (
    area_sentence,
    change_rows,
    crest,
    curve_view,
    frame_ms,
    number_rows,
    plain_change,
    section_reading,
    target_axis,
    with_moments,
)
from app.bundle.page.page_notes import note_view, work_on
from app.bundle.page.page_texts import PageTexts
from app.bundle.page.session import session_of
from app.bundle.page.sheet import sheet_of
from app.bundle.page.wheel import wheel_rows
from app.bundle.pictures.back import BackPart
from app.bundle.pictures.strips import StripFiles
from app.bundle.sources.recordings import Sources
from app.bundle.sources.titles import title_of
from app.bundle.wording import words as wording
from app.bundle.wording.format_name import OPEN_ME, PAGE_MARK
from app.bundle.wording.text import clean, one_line
from app.bundle.wording.unbroken import held
from app.bundle.wording.words import Words
from app.review.parts.curve_marks import CurveMark
from app.review.parts.marks import CASING, MARK_COLOURS
from app.review.parts.notes import PHASES
from app.review.parts.state import ReviewState
from app.scene import colours

if TYPE_CHECKING:
    from markupsafe import Markup

_MARK_INKS = {
    "YELLOW": MARK_COLOURS["yellow"],
    "RED": MARK_COLOURS["red"],
    "LIGHT_BLUE": MARK_COLOURS["blue"],
}
_TEMPLATES = Path(__file__).parent / "templates"
# Those the script needs.
_SCRIPT_WORDS = ("run_", "play", "pause", "decimal", "answers_", "answer_", "film_unplayable")
_FEW_NOTES = 2  # so many stand open where nothing is picked to work on
_KINDS = {
    ".png": "image/png",
    ".jpg": "image/jpeg",
    ".svg": "image/svg+xml",
    ".mp4": "video/mp4",
    ".m4a": "audio/mp4",
    ".csv": "text/csv;charset=utf-8",
    ".vtt": "text/vtt;charset=utf-8",
    ".json": "application/json",
}


_NO_PARTS: Mapping[str, Any] = {
    "walks": (),
    "comparisons": (),
    "self_test": None,
    "signals": (),
    "order": None,
    "back": None,
    "moments": (),
    "stroke_signals": {},
    "last_time": None,
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
    bundle_id: str = "",
    written: str = "",
    parts: Mapping[str, Any] | None = None,
    originals: Sequence[str] = (),
) -> str:
    """Give the page as HTML.

    Parameters
    ----------
    axes : the axes curves were drawn on
    inline_from : the built folder, to put all of its files into the page; None to refer to them
    typical : the strip of the typical stroke, for a page without strips of its own
    texts : the coach's opening, next session, name and logo
    bundle_id : goes into the athlete's answers, so that they find their review again
    written : the date to state, as YYYY-MM-DD
    parts : what the walkthroughs, comparisons and the self-test need, by the names their
        templates use
    originals : paths of the recordings themselves in the bundle
    """
    texts = texts or PageTexts()
    inlined = _Inlined(inline_from)
    context: dict[str, Any] = {
        **_frame(state, words, inlined, bundle_id, written),
        **_told(state, sources, cards, texts, words, bool(axes), (parts or {}).get("back")),
        "typical": typical,
        "remarks": remarks,
        "originals": _originals(originals, words),
        **_force(sources, axes, words, state.curve_marks),
        **_NO_PARTS,
        **(parts or {}),
    }
    context["own"] = own_words(state.sending, words)
    context["curves"] = with_moments(context["curves"], context["moments"], words)
    return _environment().get_template("index.html").render(context)


def _frame(
    state: ReviewState, words: Words, inlined: _Inlined, bundle_id: str, written: str
) -> dict[str, Any]:
    """Give what the page is made in: its words, style and script, and where it finds files."""
    style, script = _style(), _script()
    return {
        "w": words,
        "mark": PAGE_MARK,
        "csp": _policy(style, script, inlined.inside),
        "style": style,
        "script": script,
        "script_words": {n: words[n] for n in words if n.startswith(_SCRIPT_WORDS)},
        **{"bundle_id": bundle_id, "written": written},
        "draft": state.draft,
        "title": title_of(state) or words["default_title"],
        "titled": bool(title_of(state)),
        "athlete": one_line(state.athlete),
        "open_me": OPEN_ME,
        "phases": PHASES,
        "has_trace": state.trace is not None,
        "inlined": inlined.inside,
        "asset": inlined.asset,
        "media": inlined.media,
        # A clip that lies in the page need not be looked at before it is wanted.
        "preload": "none" if inlined.inside else "metadata",
    }


def _told(
    state: ReviewState,
    sources: Sources,
    cards: Sequence[NoteCard],
    texts: PageTexts,
    words: Words,
    has_curve: bool,
    back: BackPart | None,
) -> dict[str, Any]:
    """Give what is said: the notes, what to work on, the next session, cautions."""
    notes = [note_view(card, state, sources, words) for card in cards]
    work = work_on(notes, state.draft)
    cautions = _cautions(cards, words, back)
    has_video = state.video is not None
    session = session_of(work, _paragraphs(texts.next_session), words, has_video)
    shown = has_curve or sources.from_picture
    return {
        "notes": notes,
        "work": work,
        "opened": [n.card.number for n in work or notes[:_FEW_NOTES]],
        "session": session,
        "sheet": sheet_of(notes, work, texts, shown, bool(cautions), session),
        "caution": cautions,
        "next": wording.next_film(words, has_video, state.trace is not None),
        **_texts(texts),
    }


def _cautions(cards: Sequence[NoteCard], words: Words, back: BackPart | None) -> Sequence[str]:
    """Wherever the page speaks of the back."""
    shown = back is not None and bool(back.svg)
    return wording.caution(words) if shown or any(card.about_back for card in cards) else ()


def _texts(texts: PageTexts) -> dict[str, Any]:
    """Give what the coach added, cleaned; paragraphs apart."""
    logo = None
    if texts.logo_png is not None:
        logo = "data:image/png;base64," + base64.b64encode(texts.logo_png).decode()
    return {
        "opening": _paragraphs(texts.opening),
        "coach": one_line(texts.coach),
        "logo": logo,
    }


def _paragraphs(text: str) -> list[str]:
    return [p.strip() for p in re.split(r"\n\s*\n", clean(text)) if p.strip()]


def _force(
    sources: Sources, axes: Sequence[Axis], words: Words, marks: Sequence[CurveMark]
) -> dict[str, Any]:
    """Give the curves and the numbers."""
    return {
        "crest": crest(sources),
        # The target and what it changes stand side by side; the other axis follows.
        "curves": [
            curve_view(axis, sources, words, marks)
            for axis in sorted(axes, key=lambda a: a != target_axis(sources))
        ],
        "has_target": sources.target is not None,
        "plain_change": plain_change(sources, words),
        "section_reading": section_reading(sources, words),
        "change": change_rows(sources, words),
        "change_caption": words[f"change_caption_{target_axis(sources)}"],
        "change_area": area_sentence(sources, words),
        "wheel": wheel_rows(sources, words),
        "wheel_limits": () if sources.flywheel is None else wording.wheel_limits(words),
        "numbers": number_rows(sources, words),
        "from_picture": sources.from_picture,
        "numbers_intro": "numbers_intro_picture" if sources.from_picture else "numbers_intro",
        "frame_ms": frame_ms(sources),
        "whole": max((s.count for s in sources.usual.values() if s is not None), default=0),
    }


def compile_templates() -> None:
    """Have the page's templates at hand before it is rendered; safe in a thread."""
    environment = _environment()
    for name in environment.list_templates(extensions=["html"]):
        environment.get_template(name)


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
        finalize=_unbroken,
    )


def _unbroken(value: Any) -> Any:
    """Hold numbers and units together in all that is said; what is markup already stays."""
    from markupsafe import Markup

    return held(value) if isinstance(value, str) and not isinstance(value, Markup) else value


@cache
def _style() -> str:
    """Give the style sheet with the bundle's colours filled in, by day and by night."""
    text = (_TEMPLATES / "style.css").read_text("utf-8")
    for name in ("BLACK", "INK", "QUIET_INK", "BLUE", "PAPER", "MIST", "BAND", "RULE", "EDGE"):
        day = getattr(colours, name)
        text = text.replace(f"$NIGHT_{name};", f"{colours.NIGHT[day]};")
        text = text.replace(f"${name};", f"{day};")
    # Marks keep their colours by night: they lie on a casing of their own.
    for name, ink in (("CASING", CASING), *_MARK_INKS.items()):
        text = text.replace(f"${name};", f"{ink};")
    return "\n" + text


@cache
def _script() -> str:
    return "\n" + (_TEMPLATES / "page.js").read_text("utf-8")


def _policy(style: str, script: str, inline: bool) -> str:
    """Give the content security policy: nothing from outside, only this style and this script."""
    # Browsers differ on whether 'self' covers a page opened from a disk; file: does.
    own = "data:" if inline else "'self' file:"
    # Captions of walkthroughs lie in the page; a clip that does is played from a blob.
    media = f"{own} blob:" if inline else f"{own} data:"
    return (
        f"default-src 'none'; img-src {own} data:; media-src {media}; style-src {_hash(style)}; "
        f"script-src {_hash(script)}; base-uri 'none'; form-action 'none'"
    ).replace("data: data:", "data:")


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _originals(paths: Sequence[str], words: Words) -> list[tuple[str, str]]:
    """Give the recordings themselves with what to call them."""
    kinds = {"footage": "files_footage", "force": "files_force"}
    return [(path, words[kinds[Path(path).stem]]) for path in paths if Path(path).stem in kinds]


class _Inlined:
    """Where the page finds a file: by its name, or inside the page itself.

    A clip or a voice lies in the page once: who shows it again names it, and the script lends it.
    """

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self.inside = folder is not None
        self._held: set[str] = set()

    def asset(self, name: str) -> str:
        """Give the address of a file."""
        if self._folder is None:
            return name
        kind = _KINDS[Path(name).suffix]
        data = base64.b64encode((self._folder / name).read_bytes()).decode()
        return f"data:{kind};base64,{data}"

    def media(self, name: str | None) -> Markup:
        """Give the attributes by which a clip or a voice is found."""
        from markupsafe import Markup

        if name is None:
            return Markup("")
        if self._folder is None:
            return Markup(' src="{}"').format(name)
        known_by = name.rsplit(".", 1)[0].replace("/", "-")  # no file: it lies in the page
        if name in self._held:
            return Markup(' data-lent="{}"').format(known_by)
        self._held.add(name)
        return Markup(' data-file="{}" src="{}"').format(known_by, self.asset(name))
