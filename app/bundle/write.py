"""Writing a feedback bundle: a folder, a .zip, or one self-contained .html, of one content."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from analysis.force.curves import Axis
from analysis.force.target import sample_target
from app.bundle import pack
from app.bundle.captions import captions
from app.bundle.comparison_parts import ComparisonParts, comparison_parts
from app.bundle.curves import draw_curves
from app.bundle.errors import BundleCancelled, BundleError
from app.bundle.languages import words_in
from app.bundle.notes import NoteCard, cards_of, with_pictures
from app.bundle.page import render_page
from app.bundle.record import id_of, record_json
from app.bundle.sources import Sources, curve_on, gather
from app.bundle.strips import StripFiles, typical_strip
from app.bundle.tables import notes_csv, strokes_csv
from app.bundle.voices import with_voices
from app.bundle.walkthroughs import walk_records, with_walks
from app.bundle.words import Words
from app.review.curve_marks import on_curve
from app.review.state import ReviewState

__all__ = ["BundleCancelled", "BundleError", "BundleResult", "write_bundle"]

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]


@dataclass(frozen=True)
class BundleResult:
    """What was written.

    Attributes
    ----------
    path : the folder or file
    files : what it holds, relative, sorted (one name for a self-contained page)
    bytes : size of all of it
    remarks : sentences about what is missing or unsure; the page says them too
    """

    path: Path
    files: tuple[str, ...]
    bytes: int
    remarks: tuple[str, ...] = ()


def write_bundle(
    state: ReviewState,
    review_path: Path,
    out: Path,
    *,
    as_zip: bool = False,
    single_file: bool = False,
    language: str = "en",
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
    library: Path | None = None,
) -> BundleResult:
    """Write what the athlete gets.

    The same review gives the same bytes. What lay at `out` stays until the new bundle is whole.

    Parameters
    ----------
    review_path : where the review file lies; recordings are found from there
    out : the folder to write, or the file; `.zip` or `.html` is added where it is missing
    language : of the fixed wording, a key of `languages.LANGUAGES`
    progress : called with a share from 0 to 1 and what is being done
    cancelled : asked between steps and at every frame of a clip
    library : the folder of reference strokes, for comparisons with one

    Raises
    ------
    BundleError
        Nothing was written; the message says why in one sentence.
    BundleCancelled
        As asked; nothing was changed.
    """
    if as_zip and single_file:
        raise BundleError("Choose one: a .zip, or a single page.")
    words = words_in(language)
    out = _named(Path(out), ".zip" if as_zip else ".html" if single_file else "")
    try:
        pack.check_target(out, as_folder=not (as_zip or single_file))
        with pack.workshop(out) as shop:
            job = _Job(
                state, Path(review_path), shop / "bundle", words, progress, cancelled, library
            )
            remarks = job.build(single_file)
            return _deliver(shop, out, as_zip, single_file, remarks, job)
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BundleError(
            f"The bundle {out.name} could not be written ({reason}); what was there before is "
            "kept. Choose another place or make room, and write it again."
        ) from error


def _named(out: Path, suffix: str) -> Path:
    out = out.absolute()
    if suffix and out.suffix.lower() != suffix:
        out = out.with_name(out.name + suffix)
    return out.resolve() if out.is_symlink() else out


def _deliver(
    shop: Path, out: Path, as_zip: bool, single_file: bool, remarks: tuple[str, ...], job: _Job
) -> BundleResult:
    """Bring what was built into its shape and its place; the last moment to stop is before that."""
    built = shop / "bundle"
    files = pack.files_in(built)
    if single_file:
        size = (shop / "page.html").stat().st_size
        job.step(1.0, "Done")
        pack.put_file(shop / "page.html", out)
        return BundleResult(out, (out.name,), size, remarks)
    if as_zip:
        pack.zip_folder(built, shop / "bundle.zip")
        size = (shop / "bundle.zip").stat().st_size
        job.step(1.0, "Done")
        pack.put_file(shop / "bundle.zip", out)
        return BundleResult(out, files, size, remarks)
    size = sum((built / name).stat().st_size for name in files)
    job.step(1.0, "Done")
    pack.put_folder(built, out)
    return BundleResult(out, files, size, remarks)


class _Job:
    """One writing of the content into a folder."""

    def __init__(
        self,
        state: ReviewState,
        review_path: Path,
        folder: Path,
        words: Words,
        progress: Progress | None,
        cancelled: Cancelled | None,
        library: Path | None,
    ) -> None:
        self._library = library
        self._state, self._review_path, self._folder = state, review_path, folder
        self._progress, self._cancelled = progress, cancelled
        self._words = words

    def step(self, share: float, doing: str) -> None:
        """Report, and stop here if asked to."""
        if self._cancelled is not None and self._cancelled():
            raise BundleCancelled("Stopped; nothing was changed.")
        if self._progress is not None:
            self._progress(share, doing)

    def build(self, single_file: bool) -> tuple[str, ...]:
        """Write everything into the folder; return the remarks."""
        self._folder.mkdir()
        self.step(0.0, "Reading the recordings")
        sources = gather(self._state, self._review_path, self._words)
        cards, remarks = self._pictures(sources)
        cards, missing = with_voices(cards, self._review_path, self._folder, self._words)
        walks, unmade = with_walks(
            self._state,
            sources,
            self._review_path,
            self._folder,
            self._words,
            lambda share, doing: self.step(0.85 + 0.07 * share, doing),
            self._cancelled,
        )
        compared = self._compared()
        remarks = sources.remarks + remarks + missing + unmade + compared.remarks
        self.step(0.92, "Drawing the curves")
        axes = self._curves(sources)
        typical = self._typical(sources, cards)
        self.step(0.93, "Writing the page")
        self._write("notes.vtt", captions([card.note for card in cards], self._words))
        self._write("notes.csv", notes_csv(cards))
        self._write("strokes.csv", strokes_csv(self._state, sources))
        files = [*pack.files_in(self._folder), "index.html", "review.json"]
        added = {"walkthroughs": walk_records(walks), **compared.record}
        record = record_json(self._state, sources, cards, remarks, files, added)
        self._write("review.json", record)
        bundle_id = id_of(record)

        def page_of(inline_from: Path | None) -> str:
            return render_page(
                self._state, sources, cards, axes, remarks, self._words, inline_from, typical,
                bundle_id=bundle_id, parts={"walks": walks, **compared.page},
            )  # fmt: skip

        self._write("index.html", page_of(None))
        if single_file:
            page = page_of(self._folder)
            (self._folder.parent / "page.html").write_text(page, "utf-8", newline="")
        return remarks

    def _pictures(self, sources: Sources) -> tuple[tuple[NoteCard, ...], tuple[str, ...]]:
        cards = cards_of(self._state, sources, self._words)
        done = 0

        def next_note() -> None:
            nonlocal done
            done += 1
            share = 0.1 + 0.75 * (done - 1) / max(1, len(cards))
            self.step(share, f"Note {done} of {len(cards)}")

        shown = with_pictures(
            cards, self._state, sources, self._folder, self._words, next_note, self._cancelled
        )
        self.step(0.85, "Drawing the curves")
        return shown

    def _compared(self) -> ComparisonParts:
        """Write the comparisons and the self-test."""
        return comparison_parts(
            self._state,
            self._review_path,
            self._library,
            self._folder,
            self._words,
            lambda doing: self.step(0.85, doing),
            self._cancelled,
        )

    def _typical(self, sources: Sources, cards: tuple[NoteCard, ...]) -> StripFiles | None:
        """Give the typical stroke as a strip where no note has one."""
        if any(card.strip is not None for card in cards):
            return None
        return typical_strip(self._state, sources, self._folder, self._words)

    def _curves(self, sources: Sources) -> tuple[Axis, ...]:
        """Draw each axis there is something to show on; return those."""
        axes: list[Axis] = []
        every: tuple[Axis, ...] = ("time", "length")
        for axis in every:
            curves = curve_on(sources.piece, axis)
            target = sources.target
            target_n = sample_target(target) if target and target.axis == axis else None
            if curves is None and target_n is None:
                continue
            folder = self._folder / "curves"
            folder.mkdir(exist_ok=True)
            png, svg = folder / f"by-{axis}.png", folder / f"by-{axis}.svg"
            marks = on_curve(self._state.curve_marks, axis, None)
            draw_curves(curves, target_n, axis, png, svg, self._words, marks)
            axes.append(axis)
        return tuple(axes)

    def _write(self, name: str, text: str) -> None:
        (self._folder / name).write_text(text, "utf-8", newline="")
