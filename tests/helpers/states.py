"""Reviews of every shape, for tests that try many."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from analysis.body.following.observed import Observed
from analysis.body.track import POINTS, Source
from analysis.clocks.alignment import Alignment, Pair
from analysis.comparing.picture_fit import PictureFit
from analysis.force.coast_down import FlywheelModel
from analysis.force.target import TargetCurve
from analysis.force.trace import ColumnMapping
from app.review.parts.answers import HOWS, AthleteAnswers, Tick
from app.review.parts.answers import SelfTest as AnsweredTest
from app.review.parts.blur import BlurKey, BlurRegion
from app.review.parts.body import ALL_POINTS, BodyClick, BodyOfFilm
from app.review.parts.body_readings import Readings, readings_of
from app.review.parts.comparisons import LAYOUTS, TIMINGS, Comparison, PairLook
from app.review.parts.curve_marks import CurveMark
from app.review.parts.findings import Decision
from app.review.parts.marks import MARK_COLOURS, POINTS_OF, Mark
from app.review.parts.media import MediaRef
from app.review.parts.notes import BODY_PARTS, PHASES, Note, Voice
from app.review.parts.picture import PictureTurn
from app.review.parts.read_curves import READ_AXES, ReadCurve
from app.review.parts.reference import VIEWS, Reference
from app.review.parts.self_test import SelfTest, SelfTestItem
from app.review.parts.sending import QUALITIES, SendingPlan
from app.review.parts.spoken_words import SpokenText, SpokenWord, sounds_of
from app.review.parts.state import ReviewState
from app.review.parts.walk_events import (
    CurveShown,
    Laid,
    MarkDrawn,
    MarkGone,
    Moved,
    Ran,
    Score,
    Shown,
    Turned,
    Zoomed,
)
from app.review.parts.walkthroughs import Caption, Cut, Walkthrough
from app.review.values.stroke_ref import StrokeRef
from app.review.values.text import readable

numbers = st.floats(allow_nan=False, allow_infinity=False)
counts = st.integers(0, 2**63 - 1)
texts = st.text(max_size=40).map(readable) | st.sampled_from(
    [
        "🚣🏽‍♀️ early with the trunk",
        "התפיסה מאוחרת",
        "اليد أولاً",
        "a\nb\tc",
        "e\u0301",
        "'; DROP TABLE note; --",
    ]
)

mappings = st.builds(
    ColumnMapping,
    force_column=st.integers(0, 50),
    force_unit=st.sampled_from(["N", "kgf", "lbf"]),
    time_column=st.none() | st.integers(0, 50),
    time_unit=st.sampled_from(["s", "ms"]),
    interval_s=st.none() | numbers,
    position_column=st.none() | st.integers(0, 50),
    position_unit=st.sampled_from(["m", "cm", "mm"]),
    keep_rest=st.booleans(),
    one_hand=st.booleans(),
)


def media(kind: str) -> st.SearchStrategy[MediaRef | None]:
    """References to recordings of a kind."""
    return st.none() | st.builds(
        MediaRef,
        kind=st.just(kind),
        path=texts.filter(bool),
        size=counts,
        sha256=st.text("0123456789abcdef", min_size=64, max_size=64),
        mapping=st.none() | mappings if kind == "trace" else st.none(),
    )


voices = st.builds(
    Voice,
    id=st.uuids().map(lambda u: u.hex),
    length_s=st.just(2.0),
    sample_hz=st.just(48_000),
    trim_start_s=st.floats(0.0, 0.5),
    trim_end_s=st.floats(1.0, 2.0),
)


@st.composite
def notes(draw: st.DrawFn) -> Note:
    """One note; it never ends before it starts."""
    start = draw(numbers)
    end = draw(st.none() | st.floats(min_value=start, allow_nan=False, allow_infinity=False))
    return Note(
        draw(st.uuids()).hex,
        start,
        draw(texts),
        end,
        draw(st.sampled_from(["", *PHASES])),
        draw(st.sampled_from(["", *BODY_PARTS])),
        draw(st.none() | counts),
        draw(st.none() | voices),
    )


@st.composite
def marks(draw: st.DrawFn) -> Mark:
    """One mark with as many points as its kind has."""
    kind = draw(st.sampled_from(sorted(POINTS_OF)))
    count = POINTS_OF[kind] or draw(st.integers(2, 6))
    start = draw(numbers)
    end = draw(st.none() | st.floats(min_value=start, allow_nan=False, allow_infinity=False))
    points = draw(st.lists(st.tuples(numbers, numbers), min_size=count, max_size=count))
    colour = draw(st.sampled_from(sorted(MARK_COLOURS)))
    return Mark(draw(st.uuids()).hex, kind, tuple(points), colour, draw(texts), start, end)


@st.composite
def curve_marks(draw: st.DrawFn) -> CurveMark:
    """One mark on the curve with as many points as its kind has."""
    kind = draw(st.sampled_from(["line", "span"]))
    count = 2 if kind == "span" else draw(st.integers(2, 6))
    points = draw(st.lists(st.tuples(numbers, numbers), min_size=count, max_size=count))
    return CurveMark(
        draw(st.uuids()).hex,
        kind,
        draw(st.sampled_from(["time", "length"])),
        tuple(points),
        draw(st.sampled_from(sorted(MARK_COLOURS))),
        draw(st.none() | counts),
        draw(texts),
    )


@st.composite
def blurs(draw: st.DrawFn) -> BlurRegion:
    """One blurred region with a few places, the first of them the coach's."""
    times = sorted(draw(st.lists(numbers, min_size=1, max_size=4, unique=True)))
    sizes = st.floats(1.0, 1e4)
    keys = tuple(
        BlurKey(
            t, draw(numbers), draw(numbers), draw(sizes), draw(sizes), i == 0 or draw(st.booleans())
        )
        for i, t in enumerate(times)
    )
    spans = draw(st.lists(st.tuples(numbers, numbers).map(sorted).map(tuple), max_size=2))
    start, end = draw(st.sampled_from([(None, None), (0.0, None), (None, 9.0), (1.0, 2.0)]))
    return BlurRegion(draw(st.uuids()).hex, keys, start, end, tuple(spans))


@st.composite
def answers(draw: st.DrawFn) -> AthleteAnswers:
    """One file of answers."""
    ticks = draw(st.dictionaries(texts, st.booleans(), max_size=3))
    tests = draw(st.dictionaries(texts, texts, max_size=2))
    return AthleteAnswers(
        draw(st.text("0123456789abcdef", min_size=16, max_size=16) | st.just("")),
        tuple(
            Tick(note, done, draw(st.sampled_from(["", *HOWS])), draw(texts))
            for note, done in ticks.items()
        ),
        draw(texts),
        tuple(AnsweredTest(name, answer) for name, answer in tests.items()),
        draw(st.uuids()).hex,
        "2026-01-02T03:04:05+00:00",
    )


looks = st.builds(
    PairLook,
    timing=st.sampled_from(TIMINGS),
    shift_s=numbers,
    layout=st.sampled_from(LAYOUTS),
    opacity=st.floats(0.0, 1.0),
    fit=st.builds(PictureFit, st.booleans(), st.floats(1e-3, 1e3), numbers, numbers),
)


@st.composite
def walks(draw: st.DrawFn) -> Walkthrough:
    """One walkthrough with events of every kind, cuts and captions."""
    seconds = st.floats(0.0, 1e4)
    shares = st.floats(0.0, 1.0)
    event = st.one_of(
        st.builds(Moved, seconds, numbers),
        st.builds(Ran, seconds, numbers, numbers),
        st.builds(MarkDrawn, seconds, marks()),
        st.builds(MarkGone, seconds, texts),
        st.builds(Turned, seconds, st.integers(0, 3), st.booleans(), shares),
        st.builds(Zoomed, seconds, st.floats(1.0, 12.0), shares, shares),
        st.builds(CurveShown, seconds, st.booleans()),
        st.builds(Shown, seconds, st.sampled_from(["picture", "strip", "comparison"]), texts),
        st.builds(Laid, seconds, looks),
    )
    spans = st.tuples(seconds, st.floats(0.1, 10.0)).map(lambda s: (s[0], s[0] + s[1]))
    cuts = draw(st.lists(spans, max_size=3))
    captions = draw(st.lists(st.tuples(spans, texts.filter(bool)), max_size=3))
    return Walkthrough(
        draw(st.uuids()).hex,
        draw(texts),
        Score(draw(st.lists(event, max_size=6))),
        draw(st.floats(0.1, 1e4)),
        draw(st.sampled_from(["", "a" * 32])),
        cuts=tuple(Cut(*span) for span in cuts),
        captions=tuple(Caption(draw(st.uuids()).hex, *span, text) for span, text in captions),
        left_out=tuple(draw(st.lists(texts, max_size=2))),
    )


targets = st.builds(
    TargetCurve,
    axis=st.sampled_from(["time", "length"]),
    start_pct=numbers,
    build_up_end_pct=numbers,
    plateau_end_pct=numbers,
    decline_end_pct=numbers,
    level_n=numbers,
    hold_equal=st.booleans(),
    freehand=st.lists(st.tuples(numbers, numbers), max_size=4).map(tuple),
    name=texts,
)

sendings = st.builds(
    SendingPlan,
    notes=st.lists(st.uuids().map(lambda u: u.hex), max_size=3, unique=True).map(tuple),
    opening=texts,
    next_session=texts,
    language=st.sampled_from(["en", "de"]),
    quality=st.sampled_from(QUALITIES),
    coach=texts,
    logo_id=st.sampled_from(["", "0" * 32]),
    include_originals=st.booleans(),
    skeleton=st.booleans(),
    unread_words=st.booleans(),
    second_view=st.booleans(),
    consent=st.none() | st.booleans(),
    minor=st.booleans(),
    left_out=st.lists(
        st.just("self-test") | st.uuids().map(lambda u: u.hex), max_size=2, unique=True
    ).map(tuple),
)


@st.composite
def stroke_refs(draw: st.DrawFn) -> StrokeRef:
    """One stroke of some recording, its events in order."""
    catch = draw(st.floats(-1e6, 1e6))
    drive, recovery = draw(st.floats(0.01, 1e3)), draw(st.floats(0.01, 1e3))
    source = draw(st.just("") | st.uuids().map(lambda u: u.hex) | texts.filter(bool))
    return StrokeRef(source, catch, catch + drive, catch + drive + recovery, draw(texts))


comparisons = st.builds(
    Comparison,
    id=st.uuids().map(lambda u: u.hex),
    left=stroke_refs(),
    right=stroke_refs(),
    title=texts,
    timing=st.sampled_from(TIMINGS),
    shift_s=numbers,
    layout=st.sampled_from(LAYOUTS),
    opacity=st.floats(0.0, 1.0),
    fit=st.builds(PictureFit, st.booleans(), st.floats(1e-3, 1e3), numbers, numbers),
    text=texts,
    other_marks=st.booleans(),
)
self_test_items = st.builds(
    SelfTestItem,
    id=st.uuids().map(lambda u: u.hex),
    stroke=stroke_refs(),
    right=st.booleans(),
    why=texts,
)
self_tests = st.builds(
    SelfTest,
    st.lists(self_test_items, max_size=3, unique_by=lambda item: item.id).map(tuple),
    counts,
    texts,
)


@st.composite
def references(draw: st.DrawFn) -> Reference:
    """What a reference stroke is."""
    stroke = draw(stroke_refs())
    return Reference(
        draw(texts.filter(lambda text: text.strip() != "")),
        draw(st.sampled_from(VIEWS)),
        draw(st.floats(1.0, 60.0)),
        draw(texts),
        draw(texts),
        stroke.catch_s,
        stroke.finish_s,
        stroke.next_catch_s,
    )


@st.composite
def readings(draw: st.DrawFn) -> Readings:
    """What was read of a body in a few frames, some of it not at all."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    frames = draw(st.integers(1, 6))
    shape = (frames, len(POINTS))
    seen = rng.random(shape) < draw(st.floats(0.0, 1.0))
    return readings_of(
        Observed(
            np.cumsum(rng.uniform(0.01, 0.05, frames)),
            np.where(seen[..., None], rng.uniform(-50.0, 2000.0, (*shape, 2)), np.nan),
            np.where(seen, rng.uniform(0.1, 60.0, shape), np.nan),
            np.where(seen, Source.DETECTOR, Source.UNKNOWN).astype(np.uint8),
            np.where(rng.random(frames) < 0.5, np.nan, np.sort(rng.random(frames))),
            draw(st.none() | st.just(np.tile(np.eye(2, 3), (frames, 1, 1)))),
            draw(st.none() | st.tuples(st.integers(1, 8000), st.integers(1, 8000))),
        )
    )


bodies = st.builds(
    BodyOfFilm,
    readings=st.none() | readings(),
    time_scale=st.floats(1e-3, 1e3),
    stature_m=st.none() | st.floats(0.8, 2.5),
)
body_clicks = st.builds(
    BodyClick,
    id=st.uuids().map(lambda u: u.hex),
    video_s=numbers,
    point=st.sampled_from(ALL_POINTS),
    x_px=st.floats(-1e5, 1e5),
    y_px=st.floats(-1e5, 1e5),
    pointed=st.booleans(),
)


@st.composite
def said(draw: st.DrawFn, sound_id: str) -> SpokenText:
    """The words of one sound, in order of time."""
    word = st.text("abcdé.,'", min_size=1, max_size=6)
    times = sorted(draw(st.lists(st.floats(0.0, 600.0), max_size=6)))
    words = [
        SpokenWord(draw(word), a, b, draw(st.just("") | word))
        for a, b in zip(times[::2], times[1::2], strict=False)
    ]
    return SpokenText(
        sound_id, tuple(words), draw(st.sampled_from(["en", "de"])), draw(st.booleans()),
        draw(st.booleans()),
    )  # fmt: skip


@st.composite
def with_words(draw: st.DrawFn, state: ReviewState) -> ReviewState:
    """The state with words for some of its voices."""
    sounds = sorted(sounds_of(state))
    chosen = draw(st.lists(st.sampled_from(sounds), unique=True)) if sounds else []
    return replace(state, spoken=tuple(draw(said(sound)) for sound in chosen))


@st.composite
def read_curves(draw: st.DrawFn) -> ReadCurve:
    """A curve read from a picture, with gaps."""
    percents = sorted(draw(st.sets(st.integers(0, 100), min_size=2, max_size=6)))
    level, sd = st.floats(0.0, 2000.0), st.floats(0.0, 100.0)
    return ReadCurve(
        draw(st.uuids()).hex,
        draw(texts.filter(str.strip)),
        draw(texts),
        draw(st.sampled_from(READ_AXES)),
        draw(st.booleans()),
        draw(st.none() | st.floats(0.01, 10.0)),
        tuple((percent, draw(level), draw(sd)) for percent in percents),
        draw(st.booleans()),
    )


states = st.builds(
    ReviewState,
    held_against=st.just("") | st.uuids().map(lambda u: u.hex),
    read_curves=st.lists(read_curves(), max_size=2, unique_by=lambda curve: curve.id).map(tuple),
    body=bodies,
    body_clicks=st.lists(body_clicks, max_size=3, unique_by=lambda click: click.id).map(tuple),
    decisions=st.lists(
        st.builds(Decision, texts, st.booleans(), texts), max_size=3, unique_by=lambda d: d.code
    ).map(tuple),
    thresholds=st.lists(st.tuples(texts, numbers), max_size=3, unique_by=lambda t: t[0]).map(tuple),
    shown_signals=st.lists(texts.filter(bool), max_size=3, unique=True).map(tuple),
    flywheel=st.builds(FlywheelModel, *[st.floats(1e-6, 1e3)] * 5),
    title=texts,
    athlete=texts,
    video=media("video"),
    trace=media("trace"),
    alignment=st.builds(
        Alignment,
        offset_s=numbers,
        drift_ppm=numbers,
        uncertainty_s=st.none() | numbers,
        method=texts,
        ambiguous=st.booleans(),
    ),
    pairs=st.lists(st.builds(Pair, numbers, numbers), max_size=3).map(tuple),
    notes=st.lists(notes(), max_size=4, unique_by=lambda note: note.id).map(
        lambda many: tuple(sorted(many, key=lambda note: note.video_s))
    ),
    target=st.none() | targets,
    turn=st.builds(PictureTurn, st.integers(0, 3), st.booleans()),
    draft=st.booleans(),
    marks=st.lists(marks(), max_size=3, unique_by=lambda mark: mark.id).map(tuple),
    metres_per_px=st.none() | st.floats(1e-6, 1.0),
    curve_marks=st.lists(curve_marks(), max_size=3, unique_by=lambda mark: mark.id).map(tuple),
    sending=sendings,
    blurs=st.lists(blurs(), max_size=2, unique_by=lambda region: region.id).map(tuple),
    answers=st.lists(answers(), max_size=2, unique_by=lambda a: a.id).map(tuple),
    comparisons=st.lists(comparisons, max_size=2, unique_by=lambda c: c.id).map(tuple),
    self_test=st.none() | self_tests,
    reference=st.none() | references(),
    walkthroughs=st.lists(walks(), max_size=2, unique_by=lambda walk: walk.id).map(tuple),
).flatmap(with_words)
