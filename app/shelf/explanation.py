"""What is kept of an explanation: words, voice, marks and a stroke beside, without the athlete."""

from __future__ import annotations

import hashlib
import uuid
from dataclasses import dataclass
from typing import Final

from analysis.force.curves import Axis
from app.review.parts.comparisons import Layout, Timing
from app.review.parts.marks import Point
from app.review.parts.spoken_words import SpokenWord

# Stands in kept words where the name of the athlete stood for whom they were written.
ATHLETE: Final = "‹athlete›"


@dataclass(frozen=True)
class Anchored:
    """A place beside a point of the body.

    Attributes
    ----------
    point : one of `analysis.body.track.POINTS`
    forward, up : towards the feet and up from it, in lengths of the shank
    """

    point: str
    forward: float
    up: float


@dataclass(frozen=True)
class KeptMark:
    """A mark on the picture, in every frame of reference it could be told in.

    Attributes
    ----------
    kind, colour, text : as in `Mark`
    in_picture : its points as shares of the picture's width and height; always known
    on_body : its points beside those of the body; empty where nobody followed it
    on_machine : its points along the rail from stretcher to its end, and up, in lengths of that
        stretch; empty where these two were not placed
    begins_s, lasts_s : after the note's moment, seconds; `lasts_s` None for that frame alone
    """

    kind: str
    colour: str
    text: str
    in_picture: tuple[Point, ...]
    on_body: tuple[Anchored, ...] = ()
    on_machine: tuple[Point, ...] = ()
    begins_s: float = 0.0
    lasts_s: float | None = None


@dataclass(frozen=True)
class KeptCurveMark:
    """A mark on the force curve.

    Attributes
    ----------
    kind, axis, colour, text : as in `CurveMark`
    points : (percent of the drive, share of the peak)
    of_stroke : it belongs to the stroke of the note, not to every stroke
    """

    kind: str
    axis: Axis
    colour: str
    text: str
    points: tuple[Point, ...]
    of_stroke: bool = False


@dataclass(frozen=True)
class KeptVoice:
    """What was said, as long as it is heard; the sound is kept beside.

    Attributes
    ----------
    length_s, sample_hz : of the sound
    words : with their moments, where it was written down
    language, accepted, by_program : as in `SpokenText`
    says_name : a name of the athlete it was said for is heard
    """

    length_s: float
    sample_hz: int
    words: tuple[SpokenWord, ...] = ()
    language: str = "en"
    accepted: bool = False
    by_program: bool = True
    says_name: bool = False


@dataclass(frozen=True)
class KeptStroke:
    """A reference stroke that was shown beside the athlete's, and how both were laid together.

    Attributes
    ----------
    reference_id : in the library of reference strokes
    label, title, text, timing, layout, opacity : as the comparison had them; how the pictures
        were matched is not kept, for it was of that athlete's film
    """

    reference_id: str
    label: str
    title: str = ""
    text: str = ""
    timing: Timing = "phase"
    layout: Layout = "beside"
    opacity: float = 0.5


@dataclass(frozen=True)
class Explanation:
    """An explanation on the shelf.

    Attributes
    ----------
    id : 32 hexadecimal digits
    title : how the coach finds it again
    codes : of the findings it is offered for
    words : the coach's own, without what only told of that athlete
    cue, drill, dose, until, film, care : the lines of the note that began so
    says_title, says_what : the note began with the finding's title, and told what was measured;
        both are said anew of the next athlete
    phase, body_part : tags of the note
    whole_stroke : the note spanned its stroke
    stroke_share : where in the stroke the note stood, 0 to 1 over the drive, on to 2 over the
        recovery; None for where its finding is seen best
    kept_on : day it was kept, as 2026-03-31
    """

    id: str
    title: str
    codes: tuple[str, ...] = ()
    words: str = ""
    cue: str = ""
    drill: str = ""
    dose: str = ""
    until: str = ""
    film: str = ""
    care: str = ""
    says_title: bool = True
    says_what: bool = True
    phase: str = ""
    body_part: str = ""
    whole_stroke: bool = False
    stroke_share: float | None = None
    marks: tuple[KeptMark, ...] = ()
    curve_marks: tuple[KeptCurveMark, ...] = ()
    voice: KeptVoice | None = None
    stroke: KeptStroke | None = None
    kept_on: str = ""

    @property
    def holds(self) -> str:
        """What it is made of, in a few words, such as "words, voice 12 s, 2 marks, drill"."""
        count = len(self.marks) + len(self.curve_marks)
        parts = (
            "words" if self.words else "",
            "cue" if self.cue else "",
            "drill" if self.drill else "",
            f"voice {max(1, round(self.voice.length_s))} s" if self.voice is not None else "",
            f"{count} {'mark' if count == 1 else 'marks'}" if count else "",
            "reference stroke" if self.stroke is not None else "",
        )
        return ", ".join(part for part in parts if part) or "nothing but its finding"


def note_id_for(explanation_id: str, code: str, review_id: str) -> str:
    """The id of the note an explanation becomes for a finding of a review: always the same one.

    So it is known which findings have theirs, also when the review is opened again.
    """
    said = f"{explanation_id} {code} {review_id}"
    return hashlib.sha256(said.encode()).hexdigest()[:32]


def new_explanation_id() -> str:
    """Return an id no other explanation has."""
    return uuid.uuid4().hex
