"""Taking in what an athlete sent, for the commands that begin a review."""

from __future__ import annotations

import argparse
import codecs
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from analysis.clocks.alignment import Alignment, Pair, align_by_pairs
from analysis.force.piece import PieceAnalysis, analyse
from app.command_answer import CommandError, read_force
from app.review.draft import Drafting
from app.review.errors import ReviewError
from app.review.parts.about import SetAthlete
from app.review.parts.media import MediaRef
from app.review.recordings import refer
from app.review.recordings.fingerprint import no_recording, open_regular
from app.review.state import ReviewState

Kind = Literal["video", "trace"]

TEXT_ENDINGS = frozenset({".csv", ".txt", ".tsv", ".tab", ".dat", ".asc"})
_HEAD_BYTES = 4096
ASSUMED = (
    "Footage and force are assumed to start together, which nobody has checked; give a moment of "
    "both with --pair VIDEO_S:TRACE_S."
)


@dataclass(frozen=True)
class TakenIn:
    """A submission as it was read.

    Attributes
    ----------
    drafting : what a draft starts from
    remarks : sentences about what was found while reading
    files : the recordings, each with what a review says of it
    """

    drafting: Drafting
    remarks: tuple[str, ...] = ()
    files: tuple[tuple[MediaRef, Path], ...] = ()

    def remember(self, review_path: Path) -> None:
        """Keep that somebody named these files for a review on this machine."""
        from app.command_recordings import access

        for ref, path in self.files:
            access().chose(review_path, ref, path)

    def plain_state(self) -> ReviewState:
        """Return a review of it with no notes yet."""
        d = self.drafting
        return ReviewState(
            title=d.title,
            athlete=d.athlete,
            video=d.video,
            trace=d.trace,
            alignment=d.alignment,
            pairs=d.pairs,
        )


@dataclass(frozen=True)
class _Footage:
    path: Path
    ref: MediaRef
    duration_s: float
    frame_s: float


def take_in(options: argparse.Namespace, review_path: Path) -> TakenIn:
    """Open what was sent and line it up by the pairs that were given.

    Raises
    ------
    ValueError
        One of the modules' own errors: a recording cannot be used, in one sentence.
    """
    for path in options.files:
        if path.exists() and not path.is_file() and not path.is_dir():
            raise no_recording(path)
    video_path, trace_path = _sort(options.files)
    piece = None if trace_path is None else analyse(read_force(trace_path, options))
    footage = None if video_path is None else _open_footage(video_path, review_path)
    pairs = tuple(Pair(*moments) for moments in options.pair or ())
    alignment = _line_up(pairs, footage, piece)
    named = SetAthlete(options.athlete, options.title or options.files[0].stem).apply(ReviewState())
    remarks: list[str] = []
    if piece is not None and piece.trace.intake is not None:
        remarks += piece.trace.intake.remarks
    if footage is not None and piece is not None and not pairs:
        remarks.append(ASSUMED)
    drafting = Drafting(
        title=named.title,
        athlete=named.athlete,
        video=None if footage is None else footage.ref,
        trace=_refer_trace(trace_path, review_path, piece),
        piece=piece,
        alignment=alignment,
        pairs=pairs,
        footage_s=None if footage is None else footage.duration_s,
    )
    named_files = ((drafting.video, video_path), (drafting.trace, trace_path))
    files = tuple((ref, path) for ref, path in named_files if ref is not None and path is not None)
    return TakenIn(drafting, tuple(remarks), files)


def kind_of(path: Path) -> Kind:
    """Tell footage from a force recording: by what is in the file, then by its ending."""
    if path.suffix.lower() in TEXT_ENDINGS:
        return "trace"
    try:
        with open_regular(path) as file:
            head = file.read(_HEAD_BYTES)
    except ReviewError:
        return "video"  # opening it as footage says what is wrong with it
    if head.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "trace"
    return "video" if not head or b"\0" in head or not _is_text(head) else "trace"


def _is_text(head: bytes) -> bool:
    control = sum(byte < 32 and byte not in b"\t\n\r\f\x1a" for byte in head)
    return control == 0


def _sort(files: list[Path]) -> tuple[Path | None, Path | None]:
    """Return footage and force, in whichever order they were given."""
    kinds = [kind_of(path) for path in files]
    if len(files) == 1:
        return (files[0], None) if kinds[0] == "video" else (None, files[0])
    if kinds == ["trace", "trace"]:
        raise CommandError(
            f"{files[0].name} and {files[1].name} both look like force recordings; give footage "
            "and one force recording."
        )
    # Two that look like footage: the second was meant as force, and reading it says what is wrong.
    return (files[1], files[0]) if kinds == ["trace", "video"] else (files[0], files[1])


def _open_footage(path: Path, review_path: Path) -> _Footage:
    from app.media.video import VideoFile

    with VideoFile.open(path) as video:
        duration_s, frame_s = video.duration_s, 1.0 / video.fps
    return _Footage(path, refer(path, "video", review_path), duration_s, frame_s)


def _refer_trace(
    path: Path | None, review_path: Path, piece: PieceAnalysis | None
) -> MediaRef | None:
    if path is None or piece is None:
        return None
    intake = piece.trace.intake
    return refer(path, "trace", review_path, None if intake is None else intake.mapping)


def _line_up(
    pairs: tuple[Pair, ...], footage: _Footage | None, piece: PieceAnalysis | None
) -> Alignment:
    if not pairs or footage is None or piece is None:
        return Alignment()
    return align_by_pairs(pairs, footage.frame_s, piece.trace.interval_s)
