"""The recordings a review is about: where they lie, and how to know them again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar, Literal

from analysis.force.trace import ColumnMapping
from app.review.parts.change import Change
from app.review.values.errors import ReviewError
from app.review.values.part import Cells, Group, Part, Stored, Table, declare, ready

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState


@dataclass(frozen=True)
class MediaRef:
    """Where a recording lies and how to know it again.

    Attributes
    ----------
    path : relative to the review file where possible, with forward slashes
    size : bytes
    sha256 : lower-case hex digest of the whole file
    mapping : how the columns are read (force only)
    capture_fps : rate a slow-motion film was recorded at, where the coach said so (video only);
        all video times are then seconds of the real movement
    ends_sha256 : digest of the first and the last megabyte, for a quick look; "" where an older
        file has none. It follows from the content, so two references differ without it already
    """

    kind: Literal["video", "trace"]
    path: str
    size: int
    sha256: str
    mapping: ColumnMapping | None = None
    capture_fps: float | None = None
    ends_sha256: str = field(default="", compare=False)


@dataclass(frozen=True)
class Media:
    """The recordings of a review."""

    video: MediaRef | None = None
    trace: MediaRef | None = None


_MAPPING = {
    "force_column": "INTEGER",
    "force_unit": "TEXT",
    "time_column": "INTEGER",
    "time_unit": "TEXT",
    "interval_s": "REAL",
    "position_column": "INTEGER",
    "position_unit": "TEXT",
}
# Behind the unit of a force whose level of rest is kept. A program that does not know of it refuses
# such a unit, instead of showing other numbers.
REST_KEPT = " as recorded"
ONE_HAND = " one hand"  # likewise, before it: of a left and a right force one alone
MEDIA = Table(
    "media",
    {
        "kind": "TEXT NOT NULL",
        "path": "TEXT NOT NULL",
        "size": "INTEGER NOT NULL",
        "sha256": "TEXT NOT NULL",
        "ends_sha256": "TEXT NOT NULL",
        **_MAPPING,
        "capture_fps": "REAL",
    },
    ("kind",),
    words=("recording", "recordings"),
)


def _groups(state: Media) -> Iterable[Group]:
    for ref in (state.video, state.trace):
        if ref is not None:
            yield ready(ref.kind, ref, (MEDIA, MEDIA.row(ref, **_columns(ref.mapping))))


def _columns(mapping: ColumnMapping | None) -> dict[str, Any]:
    columns = {c: getattr(mapping, c) if mapping else None for c in _MAPPING}
    if mapping is not None:
        said = (ONE_HAND if mapping.one_hand else "", REST_KEPT if mapping.keep_rest else "")
        columns["force_unit"] = mapping.force_unit + "".join(said)
    return columns


def _read(stored: Stored) -> Mapping[str, Any]:
    found = {ref.kind: ref for ref in stored.each(MEDIA, _ref, _check_ref)}
    return {"video": found.get("video"), "trace": found.get("trace")}


def _ref(c: Cells) -> MediaRef:
    kinds: tuple[Literal["video", "trace"], ...] = ("video", "trace")
    return MediaRef(
        c.word("kind", kinds),
        c.text("path"),
        c.count("size"),
        c.text("sha256"),
        _mapping(c),
        c.number_or_none("capture_fps"),
        c.text("ends_sha256") if c.has("ends_sha256") else "",
    )


def _mapping(c: Cells) -> ColumnMapping | None:
    force = c.count_or_none("force_column")
    if force is None:
        return None
    written = c.text("force_unit")
    unit = written.removesuffix(REST_KEPT)
    return ColumnMapping(
        force,
        unit.removesuffix(ONE_HAND),
        c.count_or_none("time_column"),
        c.text("time_unit"),
        c.number_or_none("interval_s"),
        c.count_or_none("position_column"),
        c.text("position_unit"),
        written.endswith(REST_KEPT),
        unit.endswith(ONE_HAND),
    )


def _check(state: Media) -> None:
    for ref, kind in ((state.video, "video"), (state.trace, "trace")):
        if ref is not None:
            if ref.kind != kind:
                raise ReviewError(f"A {ref.kind} recording was given where a {kind} belongs.")
            _check_ref(ref)


def _check_ref(ref: MediaRef) -> None:
    if ref.capture_fps is not None and not ref.capture_fps > 0:
        raise ReviewError("A film was recorded at more than 0 frames per second.")
    if ref.size < 0 or not ref.path:
        raise ReviewError(f"The {ref.kind} recording has no usable path or size.")


PART = declare(Part(Media, (MEDIA,), _groups, _read, _check))


@dataclass(frozen=True)
class SetVideo(Change):
    """Use this footage, or none."""

    ref: MediaRef | None
    label: ClassVar[str] = "choose footage"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that footage."""
        from app.review.parts.body import without_body

        same = state.video is None or self.ref is None or state.video.sha256 == self.ref.sha256
        return replace(
            _unless_same(state if same else without_body(state), state.video, self.ref),
            video=self.ref,
            metres_per_px=state.metres_per_px if same else None,  # another film, another distance
            films=state.films if same else (),  # on another clock they lie elsewhere
            blurs=state.blurs if same else (),  # the faces of another film are elsewhere
        )


@dataclass(frozen=True)
class SetTrace(Change):
    """Use this force recording, or none."""

    ref: MediaRef | None
    label: ClassVar[str] = "choose force recording"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with that force recording."""
        return replace(_unless_same(state, state.trace, self.ref), trace=self.ref)


@dataclass(frozen=True)
class SetCaptureRate(Change):
    """Say at which rate a slow-motion film was recorded; what was pinned stays on its frame.

    Attributes
    ----------
    capture_fps : frames per second, None for a film that runs as fast as life
    stretch : new seconds for each old second of the film
    """

    capture_fps: float | None
    stretch: float
    label: ClassVar[str] = "capture rate"
    is_work: ClassVar[bool] = False

    def apply(self, state: ReviewState) -> ReviewState:
        """Return the state with every video time on the new clock."""
        from app.review.parts.state import retimed

        if state.video is None:
            raise ReviewError("There is no footage; nothing was changed.")
        video = replace(state.video, capture_fps=self.capture_fps)
        return replace(retimed(state, self.stretch), video=video)


def _unless_same(state: ReviewState, old: MediaRef | None, new: MediaRef | None) -> ReviewState:
    """Forget the line-up when another recording comes in: it belonged to the old one.

    A recording found again in another place, or read with other columns, keeps it.
    """
    if old is not None and new is not None and old.sha256 == new.sha256:
        return state
    from analysis.clocks.alignment import Alignment

    return replace(state, alignment=Alignment(), pairs=())
