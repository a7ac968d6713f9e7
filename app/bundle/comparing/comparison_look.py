"""How large the pictures of a comparison are, and what decides how they look."""

from __future__ import annotations

from dataclasses import asdict, replace

from app.bundle.comparing.comparison_film import body_of
from app.bundle.comparing.comparison_paint import WIDTHS_PX
from app.bundle.pictures.clip_store import key_of
from app.bundle.pictures.content import of_film, of_force, of_marks, of_picture, of_track, of_words
from app.bundle.pictures.quality import Quality
from app.bundle.wording.words import Words
from app.review.parts.comparisons import Comparison, shows_marks
from app.submission.resolving import Resolved


def pair_width(comparison: Comparison, quality: Quality) -> int:
    """Width in pixels of a comparison's clip and stills."""
    return round(WIDTHS_PX[comparison.layout] * quality.pair / 4) * 4


def pair_key(
    comparison: Comparison,
    labels: tuple[str, str],
    left: Resolved,
    right: Resolved,
    words: Words,
    quality: Quality,
    skeleton: bool = False,
) -> str:
    """Name the pictures of a comparison by all that decides how they look."""
    sides = [
        {
            **of_film(side.reel, side.state),
            "shown": asdict(side.turn),
            "force": of_force(side.piece),
            "stroke": None if side.force_stroke is None else side.force_stroke.index,
            **of_picture(side.submission),
            "alignment": asdict(side.clock.alignment),
            "drawn": of_marks(side.state) if shows_marks(comparison, side.stroke) else None,
            **of_track(body_of(side) if skeleton else None),
        }
        for side in (left, right)
    ]
    return key_of(
        {
            "pair": asdict(replace(comparison, id="", title="", text="")),
            "labels": labels,
            "sides": sides,
            "words": of_words(words),
            "quality": (pair_width(comparison, quality), quality.crf),
        }
    )
