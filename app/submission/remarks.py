"""What is missing of a submission or should be known about it, as data.

The bundle says it in the athlete's language (`app/bundle/wording`), a window or a command in the
coach's words.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Code = Literal[
    "missing_video",
    "missing_trace",
    "other_video",
    "other_trace",
    "unreadable_trace",
    "no_whole_stroke",
    "not_lined_up",
    "ambiguous",
    "rough",
    "intake",
    "wording",
    "threshold",
    "defaults",
    "body",
    "body_no_strokes",
    "body_no_angles",
]


@dataclass(frozen=True)
class Remark:
    """One thing to be said.

    Attributes
    ----------
    code : what it is
    said : a sentence for the coach, where the part that noticed it has one; "" elsewhere. It may
        name files of the coach's machine
    error : why a recording cannot be used, None for other remarks
    """

    code: Code
    said: str = ""
    error: Exception | None = None
