"""What a bundle holds of a comparison: a clip of both, still pairs, curves, and the table."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

from analysis.comparing.curves import PAIR_AXES, CurvePair, PairAxis
from analysis.comparing.variation import MeasureRow, compare_measures
from app.bundle.comparing.comparison_curves import curve_strip, said_of
from app.bundle.comparing.comparison_film import PairFilm, labels_of, write_pair_clip
from app.bundle.comparing.comparison_look import pair_key, pair_width
from app.bundle.pictures.clip_store import ClipStore
from app.bundle.pictures.curves import LETTER, SIZE, write_figure
from app.bundle.pictures.jpeg import jpeg
from app.bundle.pictures.quality import QUALITY, Quality
from app.bundle.wording.measure_words import BY_NAME
from app.bundle.wording.table_text import number, table_csv
from app.bundle.wording.words import Words
from app.media.errors import MediaError
from app.review.parts.comparisons import Comparison
from app.review.parts.sending import sent_comparisons
from app.review.parts.state import ReviewState
from app.review.recordings import STRANGER, RecordingAccess
from app.review.values.errors import ReviewError
from app.scene.pair_figure import pair_figure
from app.submission.resolving import Resolved, resolve
from app.submission.rowed_stroke import pair_of

Cancelled = Callable[[], bool]
TABLE_COLUMNS: Final = (
    "measure",
    "unit",
    "left",
    "left_sd",
    "left_strokes",
    "right",
    "right_sd",
    "right_strokes",
    "difference",
    "low_95",
    "high_95",
    "compared",
    "verdict",
    "hint",
)


_DOUBTS: Final = {
    "few": "few strokes",
    "slow": "slow change",
    "chance": "wander or chance",
    "": "hint",
}


@dataclass(frozen=True)
class CurveFiles:
    """Both curves on one axis as a picture."""

    axis: PairAxis
    svg: str
    png: str
    pair: CurvePair


@dataclass(frozen=True)
class ComparisonCard:
    """One comparison as the bundle shows it.

    Attributes
    ----------
    number : from 1, in the order of the page
    labels : what the left and the right stroke are called
    clip, poster : paths inside the bundle, None where there is no footage of both
    stills : (event, path) of the still pairs at catch and finish
    size, still_size : width and height of clip and stills, pixels
    curves : both curves over each other, on each axis both are known on
    rows : the table of measures, empty without force of both
    table : path of the table as CSV, "" without one
    marks : ids of the review's own marks that are drawn on its pictures
    drawn : what is drawn on each of the still pairs, in words
    from_picture : whether the left and the right stroke were cut from the picture
    """

    number: int
    comparison: Comparison
    labels: tuple[str, str]
    clip: str | None = None
    poster: str | None = None
    stills: tuple[tuple[str, str], ...] = ()
    size: tuple[int, int] = (0, 0)
    still_size: tuple[int, int] = (0, 0)
    clip_s: float = 0.0
    curves: tuple[CurveFiles, ...] = ()
    rows: tuple[MeasureRow, ...] = field(default=())
    table: str = ""
    marks: tuple[str, ...] = ()
    drawn: tuple[str, ...] = ()
    from_picture: tuple[bool, bool] = (False, False)


def comparison_cards(
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    folder: Path,
    words: Words,
    step: Callable[[int], None],
    cancelled: Cancelled | None = None,
    store: ClipStore | None = None,
    access: RecordingAccess = STRANGER,
) -> tuple[tuple[ComparisonCard, ...], tuple[str, ...]]:
    """Write all of the comparisons that are sent; return the cards that name it, and remarks.

    A comparison whose recordings are gone keeps its words and becomes a remark.

    Parameters
    ----------
    library : the folder of reference strokes
    step : called with the number of each comparison before it; may raise to stop
    store : clips and stills made before
    access : what may be read on this machine; a comparison with anything else is left out

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    cards, remarks = [], []
    plan = state.sending
    painting = _Painting(
        folder, words, QUALITY[plan.quality], store or ClipStore(None), plan.skeleton
    )
    for count, comparison in enumerate(sent_comparisons(state), start=1):
        step(count)
        labels = labels_of(comparison, words)
        card = ComparisonCard(count, comparison, labels)
        try:
            sides = tuple(
                resolve(stroke, state, review_path, library, cancelled=cancelled, access=access)
                for stroke in (comparison.left, comparison.right)
            )
        except ReviewError:
            # Its reason names files of the coach's machine; the athlete needs only the fact.
            remarks.append(words["compare_missing"].format(number=count))
            cards.append(card)
            continue
        left, right = sides
        if left.remarks or right.remarks:
            remarks.append(words["compare_no_force"].format(number=count))
        card = _numbers(card, left, right, folder, words)
        try:
            card = _pictures(card, left, right, painting, cancelled)
        except MediaError:
            remarks.append(words["compare_failed"].format(number=count))
        cards.append(card)
    return tuple(cards), tuple(remarks)


def _numbers(
    card: ComparisonCard, left: Resolved, right: Resolved, folder: Path, words: Words
) -> ComparisonCard:
    """Write curves and table; nothing where the stroke of one is not known."""
    if left.rowed is None or right.rowed is None:
        return card
    one, two = ((side.piece, side.stroke) for side in (left.rowed, right.rowed))
    same = card.comparison.left.source == card.comparison.right.source == ""
    same = same or left.review_path == right.review_path
    rows = compare_measures(one, two, same)
    table = f"comparison-{card.number:02d}.csv"
    (folder / table).write_text(comparison_csv(rows), "utf-8", newline="")
    curves = []
    for axis in PAIR_AXES:
        pair = pair_of(left.rowed, right.rowed, axis)
        if pair is not None:
            curves.append(_curve_files(card, pair, folder, words))
    seen = one[0].from_picture, two[0].from_picture
    return replace(card, curves=tuple(curves), rows=rows, table=table, from_picture=seen)


def comparison_csv(rows: Sequence[MeasureRow]) -> str:
    """One row a measure, in the units of `strokes.csv`."""
    return table_csv(
        TABLE_COLUMNS,
        (
            (
                row.name,
                BY_NAME[row.name].unit,
                number(row.left),
                number(row.left_sd),
                str(row.left_count),
                number(row.right),
                number(row.right_sd),
                str(row.right_count),
                number(row.difference),
                number(None if row.shown is None else row.shown.low),
                number(None if row.shown is None else row.shown.high),
                row.basis,
                row.verdict,
                _DOUBTS[row.doubt] if row.hint else "",
            )
            for row in rows
        ),
    )


def _curve_files(card: ComparisonCard, pair: CurvePair, folder: Path, words: Words) -> CurveFiles:
    (folder / "curves").mkdir(exist_ok=True)
    stem = f"curves/comparison-{card.number:02d}-{pair.axis}"
    figure = pair_figure(pair, said_of(pair, card.labels, words), SIZE, LETTER)
    write_figure(figure, folder / f"{stem}.png", folder / f"{stem}.svg")
    return CurveFiles(pair.axis, f"{stem}.svg", f"{stem}.png", pair)


@dataclass(frozen=True)
class _Painting:
    """Where and how the pictures of comparisons are written."""

    folder: Path
    words: Words
    quality: Quality
    store: ClipStore
    skeleton: bool


def _pictures(
    card: ComparisonCard,
    left: Resolved,
    right: Resolved,
    painting: _Painting,
    cancelled: Cancelled | None,
) -> ComparisonCard:
    stem, folder = f"comparison-{card.number:02d}", painting.folder
    for name in ("clips", "stills"):
        (folder / name).mkdir(exist_ok=True)
    events = ("catch", "finish")
    card = replace(
        card,
        clip=f"clips/{stem}.mp4",
        poster=f"stills/{stem}-start.jpg",
        stills=tuple((event, f"stills/{stem}-{event}.jpg") for event in events),
    )
    look = (painting.words, painting.quality, painting.skeleton)
    key = pair_key(card.comparison, card.labels, left, right, *look)
    facts = painting.store.facts(key)
    places = {f"{key}{n}": folder / path for n, path in enumerate(_files(card))}
    if facts is not None and all(painting.store.fetch(k, p) for k, p in places.items()):
        return _with_facts(card, facts)
    facts = _painted(card, left, right, painting, cancelled)
    for name, place in places.items():
        painting.store.keep(name, place)
    painting.store.keep_facts(key, facts)
    return _with_facts(card, facts)


def _files(card: ComparisonCard) -> tuple[str, ...]:
    assert card.clip is not None and card.poster is not None
    return (card.clip, card.poster, *(path for _, path in card.stills))


def _with_facts(card: ComparisonCard, facts: dict[str, Any]) -> ComparisonCard:
    size, still = ((int(w), int(h)) for w, h in (facts["size"], facts["still_size"]))
    return replace(
        card,
        size=size,
        still_size=still,
        clip_s=float(facts["clip_s"]),
        marks=tuple(str(id_) for id_ in facts["marks"]),
        drawn=tuple(str(said) for said in facts["drawn"]),
    )


def _painted(
    card: ComparisonCard,
    left: Resolved,
    right: Resolved,
    painting: _Painting,
    cancelled: Cancelled | None,
) -> dict[str, Any]:
    """Write clip and stills; give their sizes and the clip's length."""
    comparison, folder, labels = card.comparison, painting.folder, card.labels
    assert card.clip is not None and card.poster is not None
    width, crf = pair_width(comparison, painting.quality), painting.quality.crf
    closely = painting.quality.still_quality
    strip = curve_strip(comparison, left, right, painting.words, width, labels)
    moments = (comparison.left.catch_s, comparison.left.finish_s)
    with PairFilm(comparison, left, right, painting.skeleton) as film:
        for (_, path), left_s in zip(card.stills, moments, strict=True):
            (folder / path).write_bytes(jpeg(film.paint(film.at(left_s), labels, width), closely))
        first_s = comparison.left.catch_s
        poster = film.paint(film.at(first_s), labels, width, strip, first_s, True)
        (folder / card.poster).write_bytes(jpeg(poster, closely))
        seconds = write_pair_clip(film, folder / card.clip, labels, strip, cancelled, width, crf)
        size, still = film.size(width, strip), film.size(width)
        stills = [film.at(left_s) for left_s in moments]
        said = [film.named_marks(frames, painting.words) for frames in stills]
        shown = [film.own_marks(frames) for frames in stills]
        shown += [film.own_marks((p.left, p.right), spans_only=True) for p in film.clip().pairs]
    marks = sorted(frozenset().union(*shown))
    sizes = {"size": size, "still_size": still, "clip_s": seconds}
    return {**sizes, "marks": marks, "drawn": said}
