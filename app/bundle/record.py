"""review.json: the bundle for a program. The format is described in docs/bundle.md."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from analysis.force.curves import CurveSet
from analysis.force.target import sample_target
from analysis.signals.curves import drive_mean
from analysis.signals.stroke import Stroke
from app.bundle.notes.note_cards import NoteCard
from app.bundle.page.page_texts import PageTexts
from app.bundle.sources.recordings import Sources
from app.bundle.sources.titles import title_of
from app.bundle.wording.format_name import FORMAT
from app.bundle.wording.text import clean, one_line
from app.review.mark_shapes import angle_deg, length_px
from app.review.parts.marks import Mark
from app.review.parts.media import MediaRef
from app.review.parts.state import ReviewState
from app.submission.body import LoadedBody
from app.submission.shown_signals import ShownSignal

VERSION = 1


def record_json(
    state: ReviewState,
    sources: Sources,
    cards: Sequence[NoteCard],
    remarks: Sequence[str],
    files: Sequence[str],
    texts: PageTexts | None = None,
    written: str = "",
    parts: Mapping[str, Any] | None = None,
    shown: Sequence[ShownSignal] = (),
) -> str:
    """Give the bundle as JSON. File names of the recordings stay out: they can hold a name.

    Parameters
    ----------
    texts : the coach's own, with their placeholders filled
    written : the date, as YYYY-MM-DD; "" states none. Nothing else depends on it, nor does the id
    parts : what walkthroughs, comparisons and self-test add
    shown : the further signals the coach ticked
    """
    texts = PageTexts() if texts is None else texts
    compared = {id_ for pair in (parts or {}).get("comparisons", ()) for id_ in pair["marks"]}
    record: dict[str, Any] = {
        "format": FORMAT,
        "version": VERSION,
        "draft": state.draft,
        "title": title_of(state),
        "athlete": one_line(state.athlete),
        "coach": one_line(texts.coach),
        "language": state.sending.language,
        "own_language": state.sending.own_language or None,
        "opening": clean(texts.opening),
        "next_session": clean(texts.next_session),
        "recordings": {
            "video": _recording(state.video, any(c.still or c.clip for c in cards)),
            "trace": _recording(state.trace, sources.piece is not None),
        },
        "alignment": state.alignment.as_data() if state.video and state.trace else None,
        "picture": asdict(state.turn),
        "notes": [_note(card) for card in cards],
        "marks": [_mark(mark, state.metres_per_px) for mark in _shown(state, cards, compared)],
        "metres_per_px": state.metres_per_px,
        "findings": [_finding(card) for card in cards if card.kept is not None],
        "target": _target(sources),
        "curves": {
            "time": _curves(sources.main.by_time if sources.main else None),
            "length": _curves(sources.main.by_length if sources.main else None),
        },
        "summary": {
            name: None if spread is None else asdict(spread)
            for name, spread in sources.usual.items()
        },
        "strokes": _strokes(sources, shown),
        **_order(sources),
        **_signals(shown),
        **(parts or {}),
        "remarks": list(remarks),
        "files": sorted(files),
    }
    whole = _finite(record)
    return _text({"id": _digest(whole), "written": written or None, **whole})


def _digest(record: dict[str, Any]) -> str:
    """16 hex digits of the SHA-256 of a record without its id and date."""
    return hashlib.sha256(_text(record).encode()).hexdigest()[:16]


def _text(record: dict[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _shown(state: ReviewState, cards: Sequence[NoteCard], compared: set[str]) -> list[Mark]:
    """Leave out the marks of notes that are not sent; `compared` are those side by side."""
    if not state.sending.notes:
        return list(state.marks)
    on_stills = {mark.id for card in cards for mark in card.marks} | compared
    spans = [card.span for card in cards if card.span is not None]

    def in_a_clip(mark: Mark) -> bool:
        end_s = mark.end_s
        return end_s is not None and any(
            mark.video_s <= span.to_s and end_s >= span.from_s for span in spans
        )

    return [mark for mark in state.marks if mark.id in on_stills or in_a_clip(mark)]


def _recording(ref: MediaRef | None, present: bool) -> dict[str, Any] | None:
    if ref is None:
        return None
    return {"size": ref.size, "sha256": clean(ref.sha256), "used": present}


def _note(card: NoteCard) -> dict[str, Any]:
    note = card.note
    return {
        "number": card.number,
        "id": one_line(note.id),
        "video_s": note.video_s,
        "end_s": note.end_s,
        "stroke": None if card.stroke is None else card.stroke.index,
        "phase": one_line(note.phase),
        "body_part": one_line(note.body_part),
        "text": clean(note.text),
        "still": card.still,
        "marks": [one_line(mark.id) for mark in card.marks],
        "clip": card.clip,
        "voice": None if card.voice is None else card.voice.path,
        "voice_s": None if card.voice is None else card.voice.seconds,
        **_voice_words(card),
        "strip": None if card.strip is None else card.strip.svg,
        "clip_from_s": None if card.span is None else card.span.from_s,
        "clip_to_s": None if card.span is None else card.span.to_s,
        **_second_view(card),
    }


def _second_view(card: NoteCard) -> dict[str, Any]:
    """Give what a second camera shows; a note without has the record it always had."""
    view = card.view
    if view is None:
        return {}
    return {
        "view_still": view.still,
        "view_clip": view.clip,
        "view_within_s": view.within_s,
    }


def _voice_words(card: NoteCard) -> dict[str, Any]:
    """Give what a voice says; a note without such words has the record it always had."""
    if card.voice is None or card.voice.spoken is None:
        return {}
    return {"voice_words": card.voice.spoken.record, "voice_captions": card.voice.captions}


def _mark(mark: Mark, metres_per_px: float | None) -> dict[str, Any]:
    record: dict[str, Any] = {
        "id": one_line(mark.id),
        "kind": mark.kind,
        "colour": mark.colour,
        "video_s": mark.video_s,
        "end_s": mark.end_s,
        "points_px": [list(point) for point in mark.points_px],
    }
    if mark.kind == "text":
        record["text"] = clean(mark.text)
    if mark.kind == "angle":
        record["angle_deg"] = angle_deg(mark.points_px)
    if mark.kind == "distance":
        length = length_px(mark.points_px)
        record["length_px"] = length
        record["length_m"] = None if metres_per_px is None else length * metres_per_px
    return record


def _finding(card: NoteCard) -> dict[str, Any]:
    """Give a kept finding with its evidence; its words are those of its note."""
    assert card.kept is not None
    record: dict[str, Any] = {
        "code": one_line(card.kept.code),
        "note": card.number,
        "good": card.kept.good,
    }
    finding = card.kept.finding
    if finding is not None:
        said = finding.as_dict()
        for key in ("phase", "strokes", "share", "share_95", "severity", "evidence", "effect"):
            record[key] = said[key]
    return record


def _target(sources: Sources) -> dict[str, Any] | None:
    if sources.target is None:
        return None
    shape = asdict(sources.target)
    shape["name"] = one_line(shape["name"])
    shape["force_n"] = sample_target(sources.target).tolist()
    return shape


def _curves(curves: CurveSet | None) -> dict[str, Any] | None:
    if curves is None:
        return None
    return {
        "mean_span": curves.mean_span,
        "typical": curves.typical,
        "averaged": [
            i for i, out in zip(curves.stroke_indices, curves.outlying, strict=True) if not out
        ],
        "mean_n": curves.mean.tolist(),
        "sd_n": curves.sd.tolist(),
    }


def _signals(shown: Sequence[ShownSignal]) -> dict[str, Any]:
    """Name the signals shown; a review that shows none has the record it always had."""
    if not shown:
        return {}
    return {
        "signals": [
            {"name": s.name, "title": one_line(s.signal.title), "unit": one_line(s.unit)}
            for s in shown
        ]
    }


def _strokes(sources: Sources, shown: Sequence[ShownSignal]) -> list[dict[str, Any]]:
    piece = sources.piece
    if piece is None:
        return _strokes_of_picture(sources.body, shown)
    return [
        {
            "index": stroke.index,
            "source": "force",
            "catch_s": stroke.catch_s,
            "finish_s": stroke.finish_s,
            "next_catch_s": stroke.next_catch_s,
            "remark": clean(stroke.remark),
            "measures": dict(measures),
            **({"signals": _means(stroke, shown)} if shown else {}),
        }
        for stroke, measures in zip(piece.strokes, piece.measures, strict=True)
    ]


def _strokes_of_picture(
    body: LoadedBody | None, shown: Sequence[ShownSignal]
) -> list[dict[str, Any]]:
    """Strokes from the picture: they have turns of the hands, and no catch."""
    if body is None:
        return []
    return [
        {
            "index": stroke.index,
            "source": "picture",
            "hands_turn_s": stroke.catch_s,
            "finish_turn_s": stroke.finish_s,
            "next_turn_s": stroke.next_catch_s,
            "remark": clean(stroke.remark),
            "measures": dict(measures),
            **({"signals": _means(stroke, shown)} if shown else {}),
        }
        for stroke, measures in zip(body.strokes, body.measures, strict=True)
    ]


def _order(sources: Sources) -> dict[str, Any]:
    """The order of movement; a review that shows none has the record it always had."""
    order = sources.shown_order
    return {} if order is None else {"order": asdict(order)}


def _means(stroke: Stroke, shown: Sequence[ShownSignal]) -> dict[str, float | None]:
    """Mean of each signal over the drive."""
    return {s.name: drive_mean(s.signal, stroke) for s in shown}


def _finite(value: Any) -> Any:
    """Round to nine digits and turn what is no number into null, which JSON can say."""
    if isinstance(value, float):
        return float(f"{value:.9g}") if math.isfinite(value) else None
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(item) for item in value]
    return value
