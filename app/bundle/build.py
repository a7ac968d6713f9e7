"""Making all of a bundle's content in a folder, whatever shape it is given afterwards."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from analysis.force.curves import Axis
from analysis.force.target import sample_target
from app.bundle import pack
from app.bundle.comparing.comparison_parts import ComparisonParts, comparison_parts
from app.bundle.notes.note_cards import NoteCard, body_moments, cards_of, with_pictures
from app.bundle.notes.second_views import with_second_views
from app.bundle.options import Cancelled, Progress, Shape, WriteOptions
from app.bundle.originals import with_originals
from app.bundle.page.last_time import last_time_part, last_time_record
from app.bundle.page.last_time_pictures import beside
from app.bundle.page.page import render_page
from app.bundle.page.page_texts import PageTexts
from app.bundle.pictures.back import back_part
from app.bundle.pictures.clip_store import ClipStore
from app.bundle.pictures.curves import draw_curves
from app.bundle.pictures.movement import order_files
from app.bundle.pictures.signal_pictures import signal_pictures
from app.bundle.pictures.strips import StripFiles, typical_strip
from app.bundle.preload import preload
from app.bundle.record import record_json
from app.bundle.sources.last_time import sent_last_time
from app.bundle.sources.placeholders import values_of
from app.bundle.sources.recordings import Sources, curve_on, gather
from app.bundle.tables import notes_csv, strokes_csv
from app.bundle.voices import with_voices
from app.bundle.walkthrough.walkthroughs import WalkView, walk_records, with_walks
from app.bundle.wording.captions import captions
from app.bundle.wording.errors import BundleCancelled
from app.bundle.wording.fill import Filled, fill
from app.bundle.wording.finding_texts import notes_in
from app.bundle.wording.languages import words_in
from app.review.answers import bundle_mark
from app.review.file.store import read_asset
from app.review.parts.curve_marks import on_curve
from app.review.parts.state import ReviewState
from app.review.values.errors import ReviewError
from app.scene.figure import Moment
from app.submission.shown_signals import ShownSignal

CONTENT, PAGE, ZIP = "bundle", "page.html", "bundle.zip"


@dataclass(frozen=True)
class Built:
    """A bundle made in a workshop, not delivered yet.

    Attributes
    ----------
    shop : the workshop: the content is in its folder `bundle`; `page.html` and `bundle.zip` lie
        beside that where those shapes were asked for
    remarks : sentences about what is missing or unsure; the page says them too
    hints : sentences for the coach alone
    """

    shop: Path
    remarks: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()

    @property
    def folder(self) -> Path:
        """The content."""
        return self.shop / CONTENT

    def part(self, shape: Shape) -> Path:
        """The folder or file of a shape."""
        return self.shop / {"folder": CONTENT, "zip": ZIP, "page": PAGE}[shape]

    def size(self, shape: Shape) -> int:
        """Bytes of a shape; 0 where it was not made."""
        part = self.part(shape)
        if part.is_dir():
            return sum(p.stat().st_size for p in part.rglob("*") if p.is_file())
        return part.stat().st_size if part.exists() else 0


def build(
    state: ReviewState,
    review_path: Path,
    shop: Path,
    options: WriteOptions,
    shapes: tuple[Shape, ...] = ("folder",),
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> Built:
    """Make a bundle in an empty workshop.

    Parameters
    ----------
    review_path : where the review file lies; recordings are found from there
    shapes : what is to be delivered; the content is made once

    Raises
    ------
    BundleError
        There is no wording in the language asked for.
    OtherRecording
        Another recording lies in the place of one that was reviewed.
    BundleCancelled
        As asked.
    OSError
        The workshop cannot be written.
    """
    if options.plan is not None:
        state = replace(state, sending=options.plan)
    language = state.sending.language
    state = replace(state, notes=notes_in(state.notes, language, words_in(language)))
    builder = _Builder(state, review_path, shop / CONTENT, options, progress, cancelled)
    built = builder.build("page" in shapes)
    if "zip" in shapes:
        builder.step(0.98, "Packing")
        pack.zip_folder(built.folder, built.part("zip"))
    return built


class _Builder:
    """One making of the content."""

    def __init__(
        self,
        state: ReviewState,
        review_path: Path,
        folder: Path,
        options: WriteOptions,
        progress: Progress | None,
        cancelled: Cancelled | None,
    ) -> None:
        self._state, self._review_path, self._folder = state, review_path, folder
        self._options = options
        self._progress, self._cancelled = progress, cancelled
        self._words = words_in(state.sending.language)
        self._store = ClipStore(options.clips)

    def step(self, share: float, doing: str) -> None:
        """Report, and stop here if asked to."""
        if self._cancelled is not None and self._cancelled():
            raise BundleCancelled("Stopped; nothing was changed.")
        if self._progress is not None:
            self._progress(share, doing)

    def build(self, with_page: bool) -> Built:
        """Write everything into the folder."""
        self._folder.mkdir()
        self.step(0.0, "Reading the recordings")
        sources = self._sources()
        cards, remarks, unsent = self._noted(sources)
        walks, unmade = self._walks(sources)
        compared = self._compared()
        remarks = sources.remarks(self._words) + remarks + unmade + compared.remarks
        self.step(0.9, "Drawing the curves")
        moments = body_moments(cards, sources)
        axes = self._curves(sources, moments)
        typical = self._typical(sources, cards)
        strokes = [card.stroke for card in cards if card.stroke is not None]
        signals = signal_pictures(
            self._state, sources, strokes, self._folder, self._words, self._store
        )
        back = back_part(sources, self._folder, self._words)
        last = sent_last_time(self._state.sending, self._options.last_time)
        pictures = beside(
            last, self._state, sources, self._folder, self._words, self._store,
            self._options.access,
        )  # fmt: skip
        since = last_time_part(last, self._folder, self._words, pictures)
        order = order_files(sources.shown_order, self._folder, self._words)
        remarks += self._originals(sources, signals.shown)
        texts, filled = self._texts(sources, len(cards))
        self.step(0.93, "Writing the page")
        self._tables(cards, sources, signals.shown)
        files = [*pack.files_in(self._folder), "index.html", "review.json"]
        written = self._options.written
        added = {
            "walkthroughs": walk_records(walks),
            **compared.record,
            **(back.record if back else {}),
            **last_time_record(last),
        }
        record = record_json(
            self._state, sources, cards, remarks, files, texts, written, added,
            signals.shown,
        )  # fmt: skip
        self._write("review.json", record)
        view = (self._state, sources, cards, axes, remarks, self._words)
        drawn = {"walks": walks, "order": order, "moments": moments, "back": back, **since}
        for inline in (None, self._folder) if with_page else (None,):
            page = render_page(
                *view, inline_from=inline, typical=typical, texts=texts, written=written,
                bundle_id=bundle_mark(self._state),
                parts={**drawn, **compared.page, **signals.page},
                originals=[name for name in files if name.startswith("originals/")],
            )  # fmt: skip
            if inline is None:
                self._write("index.html", page)
            else:
                (self._folder.parent / PAGE).write_text(page, "utf-8", newline="")
        hints = (*unsent, *(text.hint for text in filled if text.hint))
        return Built(self._folder.parent, remarks, hints)

    def _noted(
        self, sources: Sources
    ) -> tuple[tuple[NoteCard, ...], tuple[str, ...], tuple[str, ...]]:
        """The notes with their pictures and voices, what is missing, and hints for the coach."""
        cards, remarks = self._pictures(sources)
        cards, unsent = with_second_views(
            cards, self._state, sources, self._folder, self._store, self._cancelled
        )
        cards, missing = with_voices(
            cards, self._state, self._review_path, self._folder, self._words
        )
        return cards, remarks + missing, unsent

    def _walks(self, sources: Sources) -> tuple[tuple[WalkView, ...], tuple[str, ...]]:
        return with_walks(
            self._state,
            sources,
            self._review_path,
            self._folder,
            self._words,
            lambda share, doing: self.step(0.85 + 0.03 * share, doing),
            self._cancelled,
            self._store,
            self._options.library,
            self._options.access,
        )

    def _tables(
        self, cards: tuple[NoteCard, ...], sources: Sources, shown: Sequence[ShownSignal]
    ) -> None:
        """Write notes and strokes as other programs read them."""
        notes = [card.note for card in cards]
        self._write("notes.vtt", captions(notes, self._words, self._state.sending.own_language))
        self._write("notes.csv", notes_csv(cards))
        self._write("strokes.csv", strokes_csv(sources, shown))

    def _sources(self) -> Sources:
        try:
            return gather(
                self._state,
                self._review_path,
                self._options.access,
                self._cancelled,
                self._options.body,
                self._options.mine,
            )
        except ReviewError:
            self.step(0.0, "")  # comparing the recordings was stopped as well
            raise

    def _pictures(self, sources: Sources) -> tuple[tuple[NoteCard, ...], tuple[str, ...]]:
        cards = cards_of(self._state, sources, self._words)
        preload()
        done = 0

        def next_note() -> None:
            nonlocal done
            done += 1
            share = 0.1 + 0.75 * (done - 1) / max(1, len(cards))
            self.step(share, f"Note {done} of {len(cards)}")

        shown = with_pictures(
            cards, self._state, sources, self._folder, self._words, next_note, self._cancelled,
            self._store,
        )  # fmt: skip
        self.step(0.85, "Drawing the curves")
        return shown

    def _compared(self) -> ComparisonParts:
        """Write the comparisons and the self-test."""
        return comparison_parts(
            self._state,
            self._review_path,
            self._options.library,
            self._folder,
            self._words,
            lambda doing: self.step(0.88, doing),
            self._cancelled,
            self._store,
            self._options.access,
        )

    def _typical(self, sources: Sources, cards: tuple[NoteCard, ...]) -> StripFiles | None:
        """Give the typical stroke as a strip where no note has one, or there is no curve."""
        if any(c.strip is not None for c in cards) and not sources.from_picture:
            return None
        return typical_strip(self._state, sources, self._folder, self._words, self._store)

    def _originals(self, sources: Sources, shown: Sequence[ShownSignal]) -> tuple[str, ...]:
        if self._state.sending.include_originals:
            self.step(0.9, "Copying the originals")
        said = with_originals(
            self._state, sources, self._folder, self._words, self._cancelled, shown
        )
        self.step(0.92, "Writing the page")
        return said

    def _texts(self, sources: Sources, notes: int) -> tuple[PageTexts, tuple[Filled, ...]]:
        plan = self._state.sending
        values = values_of(self._state, sources, notes)
        opening, following = fill(plan.opening, values), fill(plan.next_session, values)
        logo = self._options.logo_png
        if logo is None and plan.logo_id:
            with contextlib.suppress(ReviewError):  # the page does without
                logo = read_asset(self._review_path, plan.logo_id)
        return PageTexts(opening.text, following.text, plan.coach, logo), (opening, following)

    def _curves(self, sources: Sources, moments: Sequence[Moment]) -> tuple[Axis, ...]:
        """Draw each axis there is something to show on; return those."""
        axes: list[Axis] = []
        every: tuple[Axis, ...] = ("time", "length")
        for axis in every:
            curves = curve_on(sources.main, axis)
            target = sources.target
            target_n = sample_target(target) if target and target.axis == axis else None
            if curves is None and target_n is None:
                continue
            folder = self._folder / "curves"
            folder.mkdir(exist_ok=True)
            png, svg = folder / f"by-{axis}.png", folder / f"by-{axis}.svg"
            marks = on_curve(self._state.curve_marks, axis, None)
            shown = moments if axis == "time" else ()
            draw_curves(curves, target_n, axis, png, svg, self._words, marks, shown)
            axes.append(axis)
        return tuple(axes)

    def _write(self, name: str, text: str) -> None:
        (self._folder / name).write_text(text, "utf-8", newline="")
