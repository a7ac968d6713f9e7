"""What a bundle holds of a comparison: a clip of both, still pairs, curves, and the table."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from analysis.comparing.curves import PAIR_AXES, CurvePair, PairAxis, force_pair
from analysis.comparing.frames import PairClip, pair_frames
from analysis.comparing.phase import nearest_frame, other_time
from analysis.comparing.variation import MeasureRow, compare_measures
from app.bundle.clip_store import ClipStore
from app.bundle.comparison_curves import CurveStrip, curve_strip, draw_pair
from app.bundle.comparison_look import pair_key, pair_width
from app.bundle.comparison_paint import DARK, Stage, clip_size, paint_pair
from app.bundle.curves import SIZE_IN, STYLE
from app.bundle.film import open_film
from app.bundle.mark_paint import MarkPainter
from app.bundle.measure_words import BY_NAME
from app.bundle.night import with_night
from app.bundle.quality import QUALITY, Quality
from app.bundle.stills import only_picture
from app.bundle.tables import number, table_csv
from app.bundle.text import one_line
from app.bundle.words import Words
from app.media.ahead import Ahead
from app.media.clip_frames import to_yuv
from app.media.encode import CRF, ClipWriter
from app.media.errors import MediaError
from app.media.opencv import opencv
from app.media.video import VideoFile
from app.review.comparison import Comparison
from app.review.errors import ReviewError
from app.review.marks import Mark
from app.review.resolving import Resolved, resolve
from app.review.state import PictureTurn, ReviewState

Cancelled = Callable[[], bool]
_DPI: Final = 200
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
)


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


def comparison_cards(
    state: ReviewState,
    review_path: Path,
    library: Path | None,
    folder: Path,
    words: Words,
    step: Callable[[int], None],
    cancelled: Cancelled | None = None,
    store: ClipStore | None = None,
) -> tuple[tuple[ComparisonCard, ...], tuple[str, ...]]:
    """Write everything of a review's comparisons; return the cards that name it, and remarks.

    A comparison whose recordings are gone keeps its words and becomes a remark.

    Parameters
    ----------
    library : the folder of reference strokes
    step : called with the number of each comparison before it; may raise to stop
    store : clips and stills made before

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    cards, remarks = [], []
    painting = _Painting(folder, words, QUALITY[state.sending.quality], store or ClipStore(None))
    for count, comparison in enumerate(state.comparisons, start=1):
        step(count)
        labels = labels_of(comparison, words)
        card = ComparisonCard(count, comparison, labels)
        try:
            sides = tuple(
                resolve(stroke, state, review_path, library, cancelled=cancelled)
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


def labels_of(comparison: Comparison, words: Words) -> tuple[str, str]:
    """What the two strokes are called; the sides' own names where the coach gave none."""
    return (
        one_line(comparison.left.label) or words["compare_left"],
        one_line(comparison.right.label) or words["compare_right"],
    )


class PairFilm:
    """Both recordings of a comparison open, frames asked for in pairs; use it in a `with` block.

    Raises
    ------
    MediaError
        There is no footage of one of the two, or it cannot be read.
    """

    def __init__(self, comparison: Comparison, left: Resolved, right: Resolved) -> None:
        if left.video is None or right.video is None:
            raise MediaError("One of the two strokes has no footage.")
        self.comparison, self._sides = comparison, (left, right)
        self._left = open_film(left.video, left.state)
        try:
            self._right = open_film(right.video, right.state)
        except BaseException:
            self._left.close()
            raise

    def __enter__(self) -> PairFilm:
        return self

    def __exit__(self, *_: object) -> None:
        self._left.close()
        self._right.close()

    def clip(self) -> PairClip:
        """Which frames belong together, see `pair_frames`."""
        c = self.comparison
        return pair_frames(
            self._left.index.time_s,
            self._right.index.time_s,
            c.left.times,
            c.right.times,
            c.timing,
            c.shift_s,
        )

    def at(self, left_s: float) -> tuple[int, int]:
        """The frames nearest a moment of the left clock and the one that belongs to it."""
        c = self.comparison
        there_s = other_time(c.left.times, c.right.times, left_s, c.timing, c.shift_s).t_s
        return (
            nearest_frame(self._left.index.time_s, left_s),
            nearest_frame(self._right.index.time_s, there_s),
        )

    def on_screen(self, left_s: float) -> tuple[int | None, int | None]:
        """The frames the bench shows at a moment of the left clock; None where a film has none.

        The left one is that on screen then; the right one the nearest to the instant that belongs
        to the left frame's own, so that neither lags.
        """
        c, left, right = self.comparison, self._left.index, self._right.index
        here: int | None = None
        if 0.0 <= left_s < left.end_s:
            here = left.at(left_s)
            left_s = float(left.time_s[here])
        there_s = other_time(c.left.times, c.right.times, left_s, c.timing, c.shift_s).t_s
        half_s = (right.end_s - float(right.time_s[-1])) / 2
        if not -half_s <= there_s < right.end_s:
            return here, None
        return here, nearest_frame(right.time_s, there_s)

    def on_stage(
        self,
        frames: tuple[int | None, int | None],
        labels: tuple[str, str],
        stage: Stage,
        turn: PictureTurn,
        marks: tuple[Mark, ...] = (),
    ) -> NDArray[np.uint8]:
        """Two frames by their numbers as they stood on the bench; (h, w, 3) RGB.

        Parameters
        ----------
        frames : dark for None
        stage : its `drawn` is filled in here
        turn : how the pictures were turned then
        marks : those that stood on screen; each is drawn on its own frames only
        """
        left, state = frames[0], self._sides[0].state
        if left is not None and marks:
            shown = replace(state, marks=marks, turn=turn)
            size, at_s = (self._left.width, self._left.height), self._left.index.time_s[left]

            def drawn(
                image: NDArray[np.uint8], seen: tuple[float, float, float, float]
            ) -> NDArray[np.uint8]:
                painter = MarkPainter(shown, size, self._left.index.at, seen)
                return painter.paint(image, float(at_s), red=0)

            stage = replace(stage, drawn=drawn)
        return paint_pair(
            _picture(self._left, left),
            _picture(self._right, frames[1]),
            self.comparison,
            turn=turn,
            right_lift=self._sides[1].turn.lift,
            labels=labels,
            stage=stage,
        )

    def size(self, width: int | None = None, strip: CurveStrip | None = None) -> tuple[int, int]:
        """Width and height of what `paint` gives."""
        source = (self._left.width, self._left.height)
        return clip_size(self.comparison, source, self._sides[0].turn, width, strip)

    def rgb(self, frames: tuple[int, int]) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
        """Two frames by their numbers, upright at source size."""
        return self._left.frame_rgb(frames[0]), self._right.frame_rgb(frames[1])

    def paint(
        self,
        frames: tuple[int, int],
        labels: tuple[str, str],
        width: int | None = None,
        strip: CurveStrip | None = None,
        left_s: float | None = None,
    ) -> NDArray[np.uint8]:
        """Two frames by their numbers, put together; (h, w, 3) RGB."""
        left_rgb, right_rgb = self.rgb(frames)
        return paint_pair(
            left_rgb,
            right_rgb,
            self.comparison,
            turn=self._sides[0].turn,
            right_lift=self._sides[1].turn.lift,
            width=width,
            labels=labels,
            strip=strip,
            left_s=left_s,
        )


def _picture(film: VideoFile, frame: int | None) -> NDArray[np.uint8]:
    if frame is None:
        return np.full((film.height, film.width, 3), DARK, np.uint8)
    return film.frame_rgb(frame)


def write_pair_clip(
    film: PairFilm,
    out: Path,
    labels: tuple[str, str],
    strip: CurveStrip | None,
    cancelled: Cancelled | None = None,
    width: int | None = None,
    crf: int = CRF,
) -> float:
    """Write both pictures with their curves beneath as one silent clip; give its length, s.

    Parameters
    ----------
    strip : as wide as the clip
    width : see `paint_pair`
    crf : constant rate factor of x264

    Raises
    ------
    MediaError
        No frame lies in the span, the footage is damaged, or it was cancelled.
    """
    clip = film.clip()
    if not clip.pairs:
        raise MediaError("The footage does not reach the strokes.")

    def pictures() -> Iterator[tuple[VideoFrame, float]]:
        for pair in clip.pairs:
            image = film.paint((pair.left, pair.right), labels, width, strip, pair.left_s)
            yield to_yuv(image), pair.out_s

    with (
        ClipWriter(out, *film.size(width, strip), crf=crf) as writer,
        Ahead(pictures, "comparison") as ahead,
    ):
        for frame, out_s in ahead:
            if cancelled is not None and cancelled():
                raise MediaError("The clip was stopped; nothing was written.")
            writer.add_frame(frame, out_s)
        writer.finish(clip.end_s)
    return clip.end_s


def _numbers(
    card: ComparisonCard, left: Resolved, right: Resolved, folder: Path, words: Words
) -> ComparisonCard:
    """Write curves and table; nothing where the force of one is not known."""
    if left.piece is None or right.piece is None:
        return card
    if left.force_stroke is None or right.force_stroke is None:
        return card
    one, two = (left.piece, left.force_stroke), (right.piece, right.force_stroke)
    same = card.comparison.left.source == card.comparison.right.source == ""
    same = same or left.review_path == right.review_path
    rows = compare_measures(one, two, same)
    table = f"comparison-{card.number:02d}.csv"
    (folder / table).write_text(comparison_csv(rows), "utf-8", newline="")
    curves = []
    for axis in PAIR_AXES:
        pair = force_pair((one[0].trace, one[1]), (two[0].trace, two[1]), axis)
        if pair is not None:
            curves.append(_curve_files(card, pair, folder, words))
    return replace(card, curves=tuple(curves), rows=rows, table=table)


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
                number(None if row.interval is None else row.interval.low),
                number(None if row.interval is None else row.interval.high),
                row.basis,
                row.verdict,
            )
            for row in rows
        ),
    )


def _curve_files(card: ComparisonCard, pair: CurvePair, folder: Path, words: Words) -> CurveFiles:
    import matplotlib.style
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    (folder / "curves").mkdir(exist_ok=True)
    stem = f"curves/comparison-{card.number:02d}-{pair.axis}"
    with matplotlib.style.context(["default", STYLE]):
        figure = Figure(figsize=SIZE_IN, dpi=_DPI, layout="constrained")
        FigureCanvasAgg(figure)
        plot = figure.add_subplot()
        draw_pair(plot, pair, card.labels, words)
        _ticks(plot, pair.axis, words)
        plot.set_ylabel(words["y_force"])
        figure.legend(
            loc="outside lower center", ncols=1, frameon=False, handlelength=3.2, fontsize=10.5
        )
        figure.savefig(folder / f"{stem}.png", format="png", metadata={"Software": None})
        none = {"Date": None, "Creator": None, "Format": None, "Type": None}
        svg = folder / f"{stem}.svg"
        figure.savefig(svg, format="svg", metadata=none)
    svg.write_text(with_night(svg.read_text("utf-8")), "utf-8", newline="")
    return CurveFiles(pair.axis, f"{stem}.svg", f"{stem}.png", pair)


def _ticks(plot: Any, axis: PairAxis, words: Words) -> None:
    names = {"time": "x_seconds", "length": "x_metres", "percent": "x_time"}
    plot.set_xlabel(words[names[axis]])
    if axis == "percent":
        ends = {0: f"0\n{words['catch']}", 100: f"100\n{words['finish']}"}
        plot.set_xticks([0, 25, 50, 75, 100], [ends.get(t, str(t)) for t in range(0, 101, 25)])


@dataclass(frozen=True)
class _Painting:
    """Where and how the pictures of comparisons are written."""

    folder: Path
    words: Words
    quality: Quality
    store: ClipStore


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
        poster=f"stills/{stem}-start.png",
        stills=tuple((event, f"stills/{stem}-{event}.png") for event in events),
    )
    look = (painting.words, painting.quality)
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
    return replace(card, size=size, still_size=still, clip_s=float(facts["clip_s"]))


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
    strip = curve_strip(comparison, left, right, painting.words, width, labels)
    moments = (comparison.left.catch_s, comparison.left.finish_s)
    with PairFilm(comparison, left, right) as film:
        for (_, path), left_s in zip(card.stills, moments, strict=True):
            _write_png(film.paint(film.at(left_s), labels, width), folder / path)
        first_s = comparison.left.catch_s
        _write_png(
            film.paint(film.at(first_s), labels, width, strip, first_s), folder / card.poster
        )
        seconds = write_pair_clip(film, folder / card.clip, labels, strip, cancelled, width, crf)
        size, still = film.size(width, strip), film.size(width)
    return {"size": size, "still_size": still, "clip_s": seconds}


def _write_png(image: NDArray[np.uint8], out: Path) -> None:
    done, data = opencv().imencode(".png", np.ascontiguousarray(image[..., ::-1]))
    if not done:
        raise OSError("the picture could not be packed")
    out.write_bytes(only_picture(data.tobytes()))
