"""Comparisons and the self-test in the words of the page and of review.json."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any

from analysis.comparing.mean_error import FEW
from analysis.comparing.variation import MeasureRow
from app.bundle.comparing.comparison_curves import y_words
from app.bundle.comparing.comparison_files import ComparisonCard
from app.bundle.comparing.self_test_files import SelfTestCard
from app.bundle.page.own_words import OwnWords
from app.bundle.wording.measure_words import MeasureWord, measures_in
from app.bundle.wording.text import clean, one_line
from app.bundle.wording.words import Words
from app.review.values.stroke_ref import StrokeRef


@dataclass(frozen=True)
class CurveView:
    """A picture of both curves with its words."""

    title: str
    svg: str
    png: str
    alt: str


@dataclass(frozen=True)
class RowView:
    """One line of the table of measures."""

    title: str
    left: str
    left_sd: str
    right: str
    right_sd: str
    difference: str
    interval: str
    verdict: str
    more: bool


@dataclass(frozen=True)
class StillView:
    """A still pair with its words."""

    path: str
    caption: str
    alt: str


@dataclass(frozen=True)
class ComparisonView:
    """A comparison in the words of the page."""

    card: ComparisonCard
    title: str
    titled: bool  # whether the coach gave it
    named: tuple[bool, bool]  # whether the coach named the left and the right stroke
    text: str
    clip_label: str
    clip_caption: str
    stills: tuple[StillView, ...]
    curves: tuple[CurveView, ...]
    rows: tuple[RowView, ...]
    basis: str
    chance: str
    hint: str
    plain: str = ""  # what the curves say, in words of daily life

    def shows(self, video_s: float) -> bool:
        """Whether a moment of the review's own film lies in one of its strokes."""
        pair = (self.card.comparison.left, self.card.comparison.right)
        return any(s.source == "" and s.catch_s <= video_s < s.next_catch_s for s in pair)


@dataclass(frozen=True)
class ItemView:
    """One stroke of the self-test; its answer is in `right`, `label` and `why` alone."""

    id: str
    number: int
    clip: str | None
    poster: str | None
    size: tuple[int, int]
    clip_label: str
    right: bool
    answer: str
    label: str
    why: str


@dataclass(frozen=True)
class SelfTestView:
    """The self-test in the words of the page."""

    question: str
    items: tuple[ItemView, ...]
    asked: bool = False  # whether the question is the coach's


def comparison_views(
    cards: Sequence[ComparisonCard], words: Words, own: OwnWords | None = None
) -> tuple[ComparisonView, ...]:
    """Give the comparisons in the words of the page.

    Parameters
    ----------
    own : knows the language of the coach's words; None takes that of the page
    """
    own = own or OwnWords("", words["language"])
    return tuple(_view(card, words, own) for card in cards)


def self_test_view(card: SelfTestCard | None, words: Words) -> SelfTestView | None:
    """Give the self-test in the words of the page, None where there is none."""
    if card is None:
        return None
    items = tuple(
        ItemView(
            id=one_line(item.item.id),
            number=item.number,
            clip=item.clip,
            poster=item.poster,
            size=item.size,
            clip_label=words["self_test_clip"].format(number=item.number),
            right=item.item.right,
            answer=words["self_test_right" if item.item.right else "self_test_wrong"],
            label=one_line(item.item.stroke.label),
            why=clean(item.item.why),
        )
        for item in card.items
    )
    asked = one_line(card.test.question)
    return SelfTestView(asked or words["self_test_question"], items, bool(asked))


def comparison_records(cards: Sequence[ComparisonCard]) -> list[dict[str, Any]]:
    """Give the comparisons for review.json; no name of a recording, for it can hold a person's."""
    return [
        {
            "number": card.number,
            "id": one_line(card.comparison.id),
            "title": one_line(card.comparison.title),
            "text": clean(card.comparison.text),
            "left": _stroke(card.comparison.left),
            "right": _stroke(card.comparison.right),
            "timing": card.comparison.timing,
            "shift_s": card.comparison.shift_s,
            "layout": card.comparison.layout,
            "opacity": card.comparison.opacity,
            "fit": asdict(card.comparison.fit),
            "clip": card.clip,
            "stills": [path for _event, path in card.stills],
            "table": card.table or None,
            "curves": [c.svg for c in card.curves],
            "measures": [_measure(row) for row in card.rows],
            "marks": [one_line(id_) for id_ in card.marks],
        }
        for card in cards
    ]


def self_test_record(card: SelfTestCard | None) -> list[dict[str, Any]]:
    """Give the strokes of the self-test for review.json, to hold answers.json against."""
    return [
        {
            "id": one_line(item.item.id),
            "right": item.item.right,
            "why": clean(item.item.why),
            "label": one_line(item.item.stroke.label),
            "clip": item.clip,
        }
        for item in ([] if card is None else card.items)
    ]


def _names(card: ComparisonCard, words: Words, own: OwnWords) -> dict[str, str]:
    """What labels call the two strokes: the coach's names only in the language of the page."""
    sides = zip(("left", "right"), card.labels, strict=True)
    return {side: words[f"compare_{side}"] if own.foreign(n) else n for side, n in sides}


def _view(card: ComparisonCard, words: Words, own: OwnWords) -> ComparisonView:
    left, right = card.labels
    title = one_line(card.comparison.title)
    names = _names(card, words, own)
    wording = words[f"compare_layout_{card.comparison.layout}"]
    layout = wording.format(**names)
    timing = words[f"compare_timing_{card.comparison.timing}"]
    refs = (card.comparison.left, card.comparison.right)
    return ComparisonView(
        card=card,
        title=title or own.inside(words["compare_title"], left=left, right=right),
        titled=bool(title),
        named=(bool(one_line(refs[0].label)), bool(one_line(refs[1].label))),
        text=clean(card.comparison.text),
        clip_label=words["compare_clip"].format(number=card.number, **names),
        clip_caption=own.inside(f"{timing} {wording}", left=left, right=right),
        stills=tuple(
            StillView(
                path,
                words[f"compare_still_{event}"],
                words["compare_still_alt"].format(event=words[event], layout=layout, **names)
                + (f" {words['still_alt_marks'].format(marks=said)}" if said else ""),
            )
            for (event, path), said in zip(card.stills, card.drawn, strict=True)
        ),
        curves=_curves(card, words, names),
        rows=_rows(card.rows, words),
        basis=_basis(card, words),
        chance=words["compare_chance"] if len(card.rows) > 1 else "",
        hint=_hint(card, words),
        plain=_plain(card, words, own),
    )


def _plain(card: ComparisonCard, words: Words, own: OwnWords) -> str:
    """Say in words of daily life where the two curves differ most, and whether that is much."""
    from markupsafe import Markup

    said = []
    shown = next((c for c in card.curves if c.axis == "percent"), None)
    largest = None if shown is None else shown.pair.largest
    if shown is not None and largest is not None:
        at_pct, apart = largest
        third = ("start", "middle", "end")[min(2, max(0, int(at_pct * 3.0 / 100.0)))]
        # Only a force says how hard somebody pulls: a speed or a way is higher, not harder.
        more, less = ("harder", "softer") if shown.pair.is_force else ("higher", "lower")
        plain = words[f"compare_plain_{more if apart > 0 else less}"]
        plain = plain.replace("{where}", words[f"where_{third}"])
        said.append(own.inside(plain, right=card.labels[1]))
    told = [row for row in card.rows if row.verdict in ("more", "within")]
    if told and all(row.verdict == "within" for row in told):
        said.append(words["compare_plain_alike"])
    return Markup(" ").join(said)


def _curves(card: ComparisonCard, words: Words, names: dict[str, str]) -> tuple[CurveView, ...]:
    views = []
    for curve in card.curves:
        title = words[f"curve_{curve.axis}"]
        key = "compare_curve_alt" if curve.pair.is_force else "compare_curve_alt_picture"
        alt = words[key].format(axis=title, what=y_words(curve.pair, words), **names)
        largest = curve.pair.largest
        if largest is not None and curve.pair.is_force:
            at, apart = largest
            digits = 0 if curve.axis == "percent" else 2
            side = "compare_above" if apart > 0 else "compare_below"
            alt += " " + words[side].format(
                gap=f"{abs(apart):.0f}",
                at=f"{at:.{digits}f}".replace(".", words["decimal"]),
                unit=_UNITS[curve.axis],
                **names,
            )
        views.append(CurveView(title, curve.svg, curve.png, alt))
    return tuple(views)


_UNITS = {"time": "s", "length": "m", "percent": "%"}


def _rows(rows: Sequence[MeasureRow], words: Words) -> tuple[RowView, ...]:
    by_name = {word.name: word for word in measures_in(words)}
    return tuple(_row(row, by_name[row.name], words) for row in rows)


def _row(row: MeasureRow, word: MeasureWord, words: Words) -> RowView:
    interval = ""
    if row.shown is not None:
        interval = words["compare_interval"].format(
            low=_end(word, row.shown.low), high=_end(word, row.shown.high)
        )
    return RowView(
        title=f"{word.title}, {word.unit}" if word.unit else word.title,
        left=word.show(row.left),
        left_sd=_spread(word, row.left_sd),
        right=word.show(row.right),
        right_sd=_spread(word, row.right_sd),
        difference=_difference(word, row, words),
        interval=interval,
        verdict=_said(row, words),
        more=row.verdict == "more",
    )


def _end(word: MeasureWord, value: float) -> str:
    """An end of a range; one that only rounding makes 0 gets a digit more, for its sign counts."""
    if round(value * word.factor, word.digits) == 0.0:
        word = replace(word, digits=word.digits + 1)
    return word.show(value, signed=True)


def _spread(word: MeasureWord, sd: float | None) -> str:
    return "" if sd is None else f"±\u00a0{word.show_spread(sd)}"


def _difference(word: MeasureWord, row: MeasureRow, words: Words) -> str:
    if row.left is None or row.right is None:
        return words["change_none"]
    return word.show_difference(row.left, row.right)


def _basis(card: ComparisonCard, words: Words) -> str:
    bases = {row.basis for row in card.rows if row.basis}
    said = [words[f"compare_basis_{min(bases)}"]] if bases else []
    if any(card.from_picture):
        said.append(words["compare_both_seen" if all(card.from_picture) else "compare_one_seen"])
    return " ".join(said)


def _hint(card: ComparisonCard, words: Words) -> str:
    """What to think of ranges that few strokes gave."""
    hint = any(row.hint for row in card.rows)
    return words["compare_hint"].format(count=FEW) if hint else ""


_VERDICTS = {"more": "compare_more", "within": "compare_within", "too_few": "compare_too_few"}


def _said(row: MeasureRow, words: Words) -> str:
    """The verdict, and whether the range may be too narrow."""
    verdict = words[_verdict(row)]
    return words["compare_unsure"].format(verdict=verdict) if row.doubt == "slow" else verdict


def _verdict(row: MeasureRow) -> str:
    return "compare_more_hint" if row.hint and row.verdict == "more" else _VERDICTS[row.verdict]


def _stroke(stroke: StrokeRef) -> dict[str, Any]:
    return {
        "own": stroke.source == "",
        "label": one_line(stroke.label),
        "catch_s": stroke.catch_s,
        "finish_s": stroke.finish_s,
        "next_catch_s": stroke.next_catch_s,
    }


def _measure(row: MeasureRow) -> dict[str, Any]:
    record = asdict(row)
    record["difference"] = row.difference
    for name, range_ in (("interval", row.interval), ("with_wander", row.with_wander)):
        record[name] = None if range_ is None else [range_.low, range_.high]
    return record
