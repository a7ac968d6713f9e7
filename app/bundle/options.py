"""What a writing of a bundle needs to know beyond the review itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from app.bundle.sources.last_time import LastTime
from app.review.parts.sending import SendingPlan
from app.review.recordings import STRANGER, RecordingAccess
from app.submission.body import LoadedBody
from app.submission.my_defaults import MyDefaults

Progress = Callable[[float, str], None]
Cancelled = Callable[[], bool]
Shape = Literal["folder", "zip", "page"]
SUFFIX: dict[Shape, str] = {"folder": "", "zip": ".zip", "page": ".html"}


@dataclass(frozen=True)
class WriteOptions:
    """How to write.

    Attributes
    ----------
    plan : what is sent; None takes the review's own
    logo_png : the coach's logo; None takes the one the review keeps
    written : the date the page states, as YYYY-MM-DD; "" states none
    library : folder of the coach's reference strokes, for comparisons with one
    clips : folder of clips made before, None to make all anew and keep none
    body : what was followed in the film, for a review that does not keep it itself
    access : which recordings may be read; only those in the review's own folder without it
    last_time : what became of what the athlete was told, where that is known
    mine : what the coach settled for all reviews; None for what this user did
    """

    plan: SendingPlan | None = None
    logo_png: bytes | None = None
    written: str = ""
    clips: Path | None = None
    library: Path | None = None
    body: LoadedBody | None = None
    access: RecordingAccess = STRANGER
    mine: MyDefaults | None = None
    last_time: LastTime | None = None
