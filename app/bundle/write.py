"""Writing a feedback bundle: a folder, a .zip, or one self-contained .html, of one content."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from app.bundle import pack
from app.bundle.build import Built, build
from app.bundle.options import SUFFIX, Cancelled, Progress, Shape, WriteOptions
from app.bundle.wording.errors import BundleCancelled, BundleError
from app.bundle.workshop import workshop
from app.review.parts.state import ReviewState

__all__ = [
    "BundleCancelled",
    "BundleError",
    "BundleResult",
    "WriteOptions",
    "deliver",
    "write_bundle",
]


@dataclass(frozen=True)
class BundleResult:
    """What was written.

    Attributes
    ----------
    path : the folder or file
    files : what it holds, relative, sorted (one name for a self-contained page)
    bytes : size of all of it
    remarks : sentences about what is missing or unsure; the page says them too
    hints : sentences for the coach alone
    """

    path: Path
    files: tuple[str, ...]
    bytes: int
    remarks: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()


def write_bundle(
    state: ReviewState,
    review_path: Path,
    out: Path,
    *,
    as_zip: bool = False,
    single_file: bool = False,
    language: str | None = None,
    options: WriteOptions | None = None,
    progress: Progress | None = None,
    cancelled: Cancelled | None = None,
) -> BundleResult:
    """Write what the athlete gets.

    The same review gives the same bytes, except for the date it is told to state. What lay at
    `out` stays until the new bundle is whole.

    Parameters
    ----------
    review_path : where the review file lies; recordings are found from there
    out : the folder to write, or the file; `.zip` or `.html` is added where it is missing
    language : of the fixed wording, a key of `languages.LANGUAGES`; None takes the review's
    progress : called with a share from 0 to 1 and what is being done
    cancelled : asked between steps and at every frame of a clip

    Raises
    ------
    BundleError
        Nothing was written; the message says why in one sentence.
    OtherRecording
        Nothing was written: another recording lies in the place of one that was reviewed.
    BundleCancelled
        As asked; nothing was changed.
    """
    if as_zip and single_file:
        raise BundleError("Choose one: a .zip, or a single page.")
    shape: Shape = "zip" if as_zip else "page" if single_file else "folder"
    options = options or WriteOptions()
    if language is not None:
        plan = options.plan or state.sending
        options = replace(options, plan=replace(plan, language=language))
    out = _named(Path(out), shape)
    with _sentences(out):
        pack.check_target(out, as_folder=shape == "folder")
        with workshop(out) as shop:
            built = build(state, Path(review_path), shop, options, (shape,), progress, cancelled)
            if progress is not None:
                progress(1.0, "Done")
            return _put(built, out, shape, cancelled)


def deliver(
    built: Built, out: Path, shape: Shape, cancelled: Cancelled | None = None
) -> BundleResult:
    """Write a bundle that was built elsewhere: the very bytes, nothing is made anew.

    Parameters
    ----------
    built : with the shape among those it was built for; it stays as it is

    Raises
    ------
    BundleError, BundleCancelled
        As `write_bundle`.
    """
    out = _named(Path(out), shape)
    with _sentences(out):
        pack.check_target(out, as_folder=shape == "folder")
        with workshop(out) as shop:
            copy = replace(built, shop=shop)
            shutil.copytree(built.folder, copy.folder, copy_function=shutil.copyfile)
            if shape != "folder":
                shutil.copyfile(built.part(shape), copy.part(shape))
            return _put(copy, out, shape, cancelled)


def _named(out: Path, shape: Shape) -> Path:
    out, suffix = out.absolute(), SUFFIX[shape]
    if suffix and out.suffix.lower() != suffix:
        out = out.with_name(out.name + suffix)
    return out.resolve() if out.is_symlink() else out


@contextlib.contextmanager
def _sentences(out: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise BundleError(
            f"The bundle {out.name} could not be written ({reason}); what was there before is "
            "kept. Choose another place or make room, and write it again."
        ) from error


def _put(built: Built, out: Path, shape: Shape, cancelled: Cancelled | None) -> BundleResult:
    """Bring what was built into its place; the last moment to stop is before that."""
    names = pack.zip_names(built.folder).values() if shape == "zip" else pack.files_in(built.folder)
    files = (out.name,) if shape == "page" else tuple(sorted(names))
    size = built.size(shape)
    if cancelled is not None and cancelled():
        raise BundleCancelled("Stopped; nothing was changed.")
    if shape == "folder":
        pack.put_folder(built.folder, out)
    else:
        pack.put_file(built.part(shape), out)
    return BundleResult(out, files, size, built.remarks, built.hints)
