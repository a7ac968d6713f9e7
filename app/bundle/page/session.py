"""The next session: each drill with its dose, when to stop, and what to film for the coach."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.findings.doses import DOSES, USUAL, Dose
from app.bundle.page.page_notes import NoteView
from app.bundle.wording.finding_texts import code_of
from app.bundle.wording.words import Words

_MOST_LOOKS = 2
_NUMBER = re.compile(r"\d")


@dataclass(frozen=True)
class Exercise:
    """A drill and how much of it; `dose` is "" where the coach's own words say it."""

    number: int  # of the note it belongs to
    drill: str
    dose: str


@dataclass(frozen=True)
class Session:
    """What to do and to film until next time.

    Attributes
    ----------
    words : paragraphs of the coach; where there are any, they stand in place of the drills
    film : what to film, as sentences
    """

    words: tuple[str, ...]
    exercises: tuple[Exercise, ...]
    stop: str
    pain: str
    film: tuple[str, ...]

    @property
    def drills(self) -> frozenset[tuple[int, str]]:
        """The drills it holds, by the number of their note."""
        return frozenset((e.number, e.drill) for e in self.exercises)


def session_of(
    work: Sequence[NoteView], paragraphs: Sequence[str], words: Words, has_video: bool
) -> Session:
    """Give the next session: the coach's words, or the drills of what to work on.

    Parameters
    ----------
    work : the notes the page begins with
    paragraphs : what the coach wrote about the next session
    has_video : whether a film was sent this time
    """
    exercises = () if paragraphs else tuple(e for n in work for e in _exercises(n, words))
    looks = [n.film for n in work if n.film][:_MOST_LOOKS]
    film = [words["session_film"]]
    if looks:
        film.append(words["session_look"].format(what=words["session_and"].join(looks)))
    return Session(
        tuple(paragraphs),
        exercises,
        words["session_stop"] if exercises or paragraphs else "",
        words["caution_pain"],
        tuple(film) if has_video or work or paragraphs else (),
    )


def _exercises(note: NoteView, words: Words) -> list[Exercise]:
    drills = [part.text for part in note.parts if part.kind == "drill"]
    dose = dose_text(DOSES.get(note.code, USUAL), words)
    return [Exercise(note.card.number, drill, "" if _says(drill) else dose) for drill in drills]


def _says(drill: str) -> bool:
    """Whether a drill says by itself how much: numbers in the coach's own words are a dose."""
    return not code_of(drill) and _NUMBER.search(drill) is not None


def dose_text(dose: Dose, words: Words) -> str:
    """Say how much: sets, strokes, rate and pressure."""
    return words["session_dose"].format(
        sets=dose.sets,
        strokes=dose.strokes,
        rate=dose.rate_spm,
        pressure=words[f"pressure_{dose.pressure}"],
    )
