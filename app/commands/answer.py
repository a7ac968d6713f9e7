"""What every command shares: its answer, its errors, reading force, progress."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from app.review.values.text import clean_name

if TYPE_CHECKING:
    from analysis.force.piece import PieceAnalysis
    from analysis.force.trace import ColumnMapping


class CommandError(ValueError):
    """Input a command cannot use. The message is one sentence for the user."""


@dataclass(frozen=True)
class Answer:
    """What a command found or made, for a program and for a reader."""

    data: dict[str, Any]
    text: str


def read_piece(path: Path, options: argparse.Namespace) -> PieceAnalysis:
    """Cut and measure a force file, read as the options say or as its own header says."""
    from app.submission.pieces import piece_of

    return piece_of(path, mapping_of(path, options))


def mapping_of(path: Path, options: argparse.Namespace) -> ColumnMapping | None:
    """How the options say that a force file is to be read; None where they say nothing."""
    from analysis.force.intake import mapping_from_options, preview

    unit = options.force_unit
    if options.load:
        from analysis.force.force_units import by_known_loads

        unit = by_known_loads(options.load, unit or "")
    said = {
        "force_column": options.force_column,
        "force_unit": unit,
        "time_column": options.time_column,
        "time_unit": options.time_unit,
        "interval_s": options.interval,
        "position_column": options.position_column,
        "position_unit": options.position_unit,
    }
    if all(value is None for value in said.values()) and not options.keep_rest:
        return None
    return mapping_from_options(preview(path), keep_rest=options.keep_rest, **said)


def progress() -> Callable[[float, str], None] | None:
    """Show how far a job is to someone who watches; a log or a pipe is spared."""
    if not sys.stderr.isatty():
        return None

    def show(share: float, doing: str) -> None:
        sys.stderr.write(f"\r\x1b[K{share:4.0%} {clean_name(doing)}" if share < 1.0 else "\r\x1b[K")
        sys.stderr.flush()

    return show
