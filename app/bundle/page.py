"""The page the athlete opens."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from analysis.force.curves import PERCENT, Axis
from analysis.force.target import sample_target
from app.bundle import colours
from app.bundle import words as wording
from app.bundle.measure_words import BY_NAME, MEASURES, MeasureWord
from app.bundle.note_text import NotePart, note_parts
from app.bundle.notes import NoteCard
from app.bundle.pack import PAGE_MARK
from app.bundle.sketch import Sketch, path_of, sketch_of
from app.bundle.sources import Sources, curve_on, trace_time
from app.bundle.strips import StripFiles
from app.bundle.text import clean, clock, one_line
from app.bundle.wheel import wheel_rows
from app.bundle.words import Words
from app.review.curve_marks import CurveMark, curve_marks_named, on_curve
from app.review.marks import named
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
# A percent either way is rounding of the curve, not a change of the work.
_SAME_SHARE = 0.01


@dataclass(frozen=True)
class NoteView:
    """A note in the words of the page."""

    card: NoteCard
    when: str
    text: str
    parts: tuple[NotePart, ...]
    said: bool
    tags: tuple[str, ...]  # those without a place of their own on the page
    phase: int | None  # which of the four parts of the stroke
    still_alt: str
    clip_label: str
    clip_caption: str
    voice_label: str
    voice_caption: str
    sketch: Sketch | None
    sketch_alt: str
    stroke_remark: str


@dataclass(frozen=True)
class CurveView:
    """One picture of curves."""

    axis: Axis
    title: str
    alt: str
    svg: str
    png: str


def render_page(
    state: ReviewState,
    sources: Sources,
    cards: Sequence[NoteCard],
    axes: Sequence[Axis],
    remarks: Sequence[str],
    words: Words,
    inline_from: Path | None = None,
    typical: StripFiles | None = None,
) -> str:
    """Give the page as HTML.

    Parameters
    ----------
    axes : the axes curves were drawn on
    inline_from : the built folder, to put all of its files into the page; None to refer to them
    typical : the strip of the typical stroke, for a page without strips of its own
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
        "notes": [_note_view(card, state, sources, words) for card in cards],
        "phases": PHASES,
        "crest": _crest(sources),
        # The target and what it changes stand side by side; the other axis follows.
        "curves": [
            _curve_view(axis, state, sources, words)
            for axis in sorted(axes, key=lambda a: a != _target_axis(sources))
        ],
        "has_target": sources.target is not None,
        "change": _change_rows(sources, words),
        "change_caption": words[f"change_caption_{_target_axis(sources)}"],
        "change_area": _area_sentence(sources, words),
        "wheel": wheel_rows(sources, words),
        "wheel_limits": () if sources.flywheel is None else sources.flywheel.limits,
        "typical": typical,
        "numbers": _number_rows(sources),
        "whole": max((s.count for s in sources.usual.values() if s is not None), default=0),
        "caution": wording.CAUTION if any(c.about_back for c in cards) else (),
        "next": _next_film(state),
        "remarks": remarks,
        "inlined": inline_from is not None,
        "asset": _inliner(inline_from) if inline_from is not None else lambda name: name,
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


def _note_view(card: NoteCard, state: ReviewState, sources: Sources, words: Words) -> NoteView:
    note = card.note
    tags = tuple(one_line(tag) for tag in (note.phase, note.body_part) if tag)
    phase = PHASES.index(note.phase) if note.phase in PHASES else None
    clip_time = {"time": "", "end": "", "seconds": ""}
    if card.span is not None:
        clip_time = {
            "time": clock(card.span.from_s),
            "end": clock(card.span.to_s),
            "seconds": f"{card.span.seconds:.1f}",
        }
    whole = card.span is not None and card.span.is_stroke
    sketch = None
    if card.stroke is not None and card.strip is None:  # a strip shows the same curves
        sketch = sketch_of(sources, card.stroke, trace_time(note.video_s, state), state.curve_marks)
    return NoteView(
        card=card,
        when=_when(card, state, words),
        text=clean(note.text) or words["note_plain"],
        parts=note_parts(clean(note.text)),
        said=bool(clean(note.text)),
        tags=tags[1:] if phase is not None else tags,
        phase=phase,
        still_alt=words["still_alt"].format(
            time=clock(note.video_s),
            number=card.number,
            tags=": " + ", ".join(tags) if tags else "",
        )
        + _drawn(card, state, words),
        clip_label=words["clip_label"].format(number=card.number, **clip_time),
        clip_caption=words["clip_caption_stroke" if whole else "clip_caption"].format(**clip_time),
        voice_label=words["voice_label"].format(number=card.number),
        voice_caption="" if card.voice is None else _voice_caption(card.voice.seconds, words),
        sketch=sketch,
        sketch_alt=_sketch_alt(card, sketch, state, words),
        stroke_remark=clean(card.stroke.remark) if card.stroke is not None else "",
    )


def _drawn(card: NoteCard, state: ReviewState, words: Words) -> str:
    """Say what is drawn on a still, for those who cannot see it."""
    if not card.marks:
        return ""
    said = [one_line(name) for name in named(card.marks, state.metres_per_px)]
    return " " + words["still_alt_marks"].format(marks=", ".join(said))


def _voice_caption(seconds: float, words: Words) -> str:
    return words["voice_caption"].format(seconds=max(1, round(seconds)))


def _when(card: NoteCard, state: ReviewState, words: Words) -> str:
    note = card.note
    kind = "time" if state.video is not None else "trace_time"
    if note.end_s is not None and note.end_s > note.video_s:
        text = words[f"span_{kind}"].format(time=clock(note.video_s), end=clock(note.end_s))
    else:
        text = words[f"at_{kind}"].format(time=clock(note.video_s))
    if card.stroke is not None:
        text = words["stroke"].format(number=card.stroke.index + 1) + ", " + text
    return text[:1].upper() + text[1:]


def _sketch_alt(card: NoteCard, sketch: Sketch | None, state: ReviewState, words: Words) -> str:
    if sketch is None or card.stroke is None:
        return ""
    text = words["own_curve_alt"].format(
        number=card.stroke.index + 1, peak=f"{sketch.peak_n:.0f}", at=f"{sketch.peak_pct:.0f}"
    )
    if sketch.moment_pct is not None:
        text += words["own_curve_alt_moment"].format(at=f"{sketch.moment_pct:.0f}")
    return text + _on_curve(on_curve(state.curve_marks, "time", card.stroke.index), words)


def _on_curve(marks: Sequence[CurveMark], words: Words) -> str:
    """Say what is drawn on a curve, for those who cannot see it."""
    said = [one_line(name) for name in curve_marks_named(marks)]
    return " " + words["still_alt_marks"].format(marks=", ".join(said)) if said else ""


def _crest(sources: Sources) -> str:
    """Give the athlete's own mean curve as path data: it stands over the title as an ornament."""
    curve = curve_on(sources.piece, "time")
    if curve is None:
        return ""
    return path_of(curve.mean_n, max(1.0, float(curve.mean_n.max())))


def _curve_view(axis: Axis, state: ReviewState, sources: Sources, words: Words) -> CurveView:
    name = words[f"axis_{axis}"]
    curves = curve_on(sources.piece, axis)
    aim = {}
    if sources.target is not None and sources.target.axis == axis:
        aim = _peak(sample_target(sources.target))
    if curves is None:
        alt = words["curve_alt_only_target"].format(axis=name, **aim)
    else:
        alt = words["curve_alt"].format(axis=name, **_peak(curves.mean_n))
        alt += words["curve_alt_target"].format(**aim) if aim else ""
    alt += _on_curve(on_curve(state.curve_marks, axis, None), words)
    return CurveView(
        axis, words[f"curve_{axis}"], alt, f"curves/by-{axis}.svg", f"curves/by-{axis}.png"
    )


def _peak(force_n: Any) -> dict[str, str]:
    at = int(force_n.argmax())
    return {"peak": f"{force_n[at]:.0f}", "at": f"{PERCENT[at]:.0f}"}


def _target_axis(sources: Sources) -> Axis:
    return "time" if sources.target is None else sources.target.axis


def _change_rows(sources: Sources, words: Words) -> list[dict[str, str]]:
    change = sources.change
    if change is None:
        return []
    rows = []
    # How fast force grows depends on the drive time: with a flywheel it stands there, once.
    grows = () if sources.flywheel is not None else ("rfd_n_per_s",)
    for name in ("peak_n", *grows, "plateau_pct", "mean_to_peak"):
        word = BY_NAME[name]
        now, aim = getattr(change.now, name), getattr(change.target, name)
        if now is None or aim is None:
            now_text = aim_text = gap = words["change_none"]
        else:
            now_text, aim_text = word.show(now), word.show(aim)
            gap = _gap(word, now, aim, words)
        title = f"{word.title}, {word.unit}"
        rows.append({"title": title, "now": now_text, "target": aim_text, "gap": gap})
    return rows


def _gap(word: MeasureWord, now: float, aim: float, words: Words) -> str:
    # From the figures shown, so that a reader who subtracts finds the same.
    shown = round(aim * word.factor, word.digits) - round(now * word.factor, word.digits)
    if round(shown, word.digits) == 0:
        return words["change_same"]
    return word.show(shown / word.factor, signed=True)


def _area_sentence(sources: Sources, words: Words) -> str:
    ratio = None if sources.change is None else sources.change.area_ratio
    if ratio is None:
        return ""
    kind = "work" if _target_axis(sources) == "length" else "impulse"
    if abs(ratio - 1.0) <= _SAME_SHARE:
        return words[f"change_{kind}_same"]
    return words[f"change_{kind}"].format(percent=f"{100.0 * ratio:.0f}")


def _number_rows(sources: Sources) -> list[dict[str, str]]:
    rows = []
    for word in MEASURES:
        spread = sources.usual.get(word.name)
        if spread is None:
            continue
        rows.append(
            {
                "title": word.title,
                "meaning": word.meaning,
                "mean": word.show(spread.mean),
                "sd": word.show_spread(spread.sd),
                "unit": word.unit,
            }
        )
    return rows


def _next_film(state: ReviewState) -> list[str]:
    advice = list(wording.NEXT_FILM)
    if state.video is None:
        advice.insert(0, wording.NEXT_VIDEO)
    if state.trace is None:
        advice.append(wording.NEXT_FORCE)
    advice.append(wording.NEXT_LINE_UP)
    return advice
