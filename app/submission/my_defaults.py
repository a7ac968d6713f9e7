"""What a coach has settled for all reviews: *My defaults*, between what is shipped and one review.

A review that says something itself keeps it; where it says nothing, this holds, and what this does
not name is as shipped. Numbers and words of the findings and the flywheel hold for every review as
it is opened; the texts around the notes are taken over by each review that is begun, so that
nothing is sent that does not stand in the review.
"""

from __future__ import annotations

import contextlib
import json
import math
import os
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import astuple, dataclass, fields, replace
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

from analysis.force.coast_down import FlywheelError, FlywheelModel
from app.files import atomic, locks
from app.files.plain import read_plain
from app.files.user_folders import defaults_path, wording_path
from app.review.parts.sending import LONGEST_TEXT, is_language
from app.review.values.errors import ReviewError
from app.review.values.part import UNREADABLE
from app.review.values.text import readable

if TYPE_CHECKING:
    from app.review.parts.state import ReviewState

VERSION: Final = 1
MOST_FLYWHEELS: Final = 50
LONGEST_NAME: Final = 80
MOST_MONTHS: Final = 600
REWORDED: Final = ("cue", "drill")
_MOST_BYTES: Final = 8 << 20  # all words at their longest, in any script, have room
_TRIES, _WAIT_S = 200, 0.01  # for another window, which needs no longer for one change
_LARGEST: Final = 1e6  # no number of a flywheel comes near it
_WHEEL: Final = tuple(f.name for f in fields(FlywheelModel))


@dataclass(frozen=True)
class MyDefaults:
    """A coach's own settings for all reviews; what is empty is as shipped.

    Attributes
    ----------
    thresholds : (name, value) of the numbers findings are held against
    flywheel : what is reckoned on where a review says nothing of the machine
    flywheels : (name, flywheel) to choose from
    words : (code of a finding, "cue" or "drill", text)
    keep_months : how long reviews are kept before they are listed for deletion; 0 for no limit
    opening, next_session : texts around the notes that a new review begins with
    own_language : of the coach's own words, that a new review begins with; "" where nobody said
    wording : the file of a coach's own wording, under `words`; None for the built-in alone
    problem : what could not be used of the file, one sentence; "" where all was
    """

    thresholds: tuple[tuple[str, float], ...] = ()
    flywheel: FlywheelModel | None = None
    flywheels: tuple[tuple[str, FlywheelModel], ...] = ()
    words: tuple[tuple[str, str, str], ...] = ()
    opening: str = ""
    next_session: str = ""
    keep_months: int = 0
    own_language: str = ""
    wording: Path | None = None
    problem: str = ""

    @property
    def judging(self) -> tuple[object, ...]:
        """What of it findings hang on."""
        return self.thresholds, self.words, self.wording

    def flywheel_of(self, state: ReviewState) -> FlywheelModel:
        """The flywheel a review is reckoned on: its own, else that of all reviews."""
        if state.flywheel != FlywheelModel() or self.flywheel is None:
            return state.flywheel
        return self.flywheel

    def reworded(self) -> Mapping[str, Mapping[str, str]]:
        """The own words by code of the finding and what they are."""
        by_code: dict[str, dict[str, str]] = {}
        for code, key, text in self.words:
            by_code.setdefault(code, {})[key] = text
        return by_code

    def with_words(self, code: str, said: Mapping[str, str | None]) -> MyDefaults:
        """The same with other words for a finding; None gives back those under it."""
        rest = [w for w in self.words if w[0] != code or w[1] not in said]
        new = [(code, key, text) for key, text in said.items() if text is not None]
        return replace(self, words=tuple(sorted((*rest, *new))))

    def with_text(self, place: Literal["opening", "next_session"], text: str) -> MyDefaults:
        """The same with another text that new reviews begin with."""
        if place == "opening":
            return replace(self, opening=text)
        return replace(self, next_session=text)

    def begun(self, state: ReviewState) -> ReviewState:
        """A review that is begun, with the texts it begins with."""
        plan = state.sending
        texts = replace(
            plan,
            opening=plan.opening or self.opening,
            next_session=plan.next_session or self.next_session,
            own_language=plan.own_language or self.own_language,
        )
        return replace(state, sending=texts)


SHIPPED: Final = MyDefaults()


def read_defaults(path: Path | None = None) -> MyDefaults:
    """Read what this user has settled; what cannot be used is as shipped and named in `problem`.

    Parameters
    ----------
    path : the file; None for that of this user
    """
    place = defaults_path() if path is None else path
    usual = replace(SHIPPED, wording=wording_path())
    try:
        told = json.loads(read_plain(place, _MOST_BYTES))
        if not isinstance(told, dict) or told.get("version") != VERSION:
            raise ValueError("no defaults of this version")
    except FileNotFoundError:
        return usual
    except (OSError, *UNREADABLE):
        why = (
            f"Your defaults in {place.name} could not be read; the shipped values are used, and "
            "the file is kept as it is."
        )
        return replace(usual, problem=why)
    reading = _Reading(told)
    read = MyDefaults(
        thresholds=reading.thresholds(),
        flywheel=reading.flywheel("flywheel", told.get("flywheel")),
        flywheels=reading.flywheels(),
        words=reading.words(),
        opening=reading.text("opening"),
        next_session=reading.text("next_session"),
        keep_months=reading.months("keep_months"),
        own_language=reading.language("own_language"),
        wording=usual.wording,
    )
    return replace(read, problem=reading.sentence(place.name))


def change_defaults(
    change: Callable[[MyDefaults], MyDefaults], path: Path | None = None
) -> MyDefaults:
    """Change what this user has settled, whole or not at all, and return it as it is now.

    What another window settled meanwhile stays. A file that could not be used in full is kept
    beside under another name before it is replaced.

    Raises
    ------
    ReviewError
        It cannot be written; nothing was changed.
    """
    place = defaults_path() if path is None else path
    try:
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        with _alone(place):
            old = read_defaults(place)
            new = replace(change(old), problem="")
            with _set_aside(place if old.problem else None):
                # Half a character, which a clipboard can hold, must not cost the rest.
                text = json.dumps(_as_json(new), indent=1, ensure_ascii=False)
                atomic.write(place, text.encode("utf-8", "replace"), atomic.PRIVATE)
    except OSError as error:
        reason = (error.strerror or "the system refused").lower()
        raise ReviewError(
            f"Your defaults could not be kept ({reason}); they are as they were, and so is the "
            "review."
        ) from error
    return new


@contextlib.contextmanager
def _alone(place: Path) -> Iterator[None]:
    """Keep other windows from changing it meanwhile, as long as one change takes."""
    lock = None
    with contextlib.suppress(locks.NoLocksError):
        for _ in range(_TRIES):
            lock = locks.take(place.with_name(f".{place.name}.lock"))
            if lock is not None:
                break
            time.sleep(_WAIT_S)
    try:
        yield
    finally:
        if lock is not None:
            lock.release()


@contextlib.contextmanager
def _set_aside(place: Path | None) -> Iterator[None]:
    """Keep a file beside under a name nothing has; it comes back if the block ends badly."""
    if place is None or not os.path.lexists(place):
        yield
        return
    names = (f"{place.name}.unreadable{f'-{n}' if n > 1 else ''}" for n in count(1))
    aside = next(p for p in map(place.with_name, names) if not os.path.lexists(p))
    place.replace(aside)
    try:
        yield
    except BaseException:
        aside.replace(place)
        raise


def flywheel_name(name: str) -> str:
    """A name a flywheel can be kept under, "" where there is nothing left of it."""
    return " ".join(readable(name).split())[:LONGEST_NAME]


def _as_json(mine: MyDefaults) -> dict[str, Any]:
    def wheel(model: FlywheelModel) -> dict[str, float]:
        return dict(zip(_WHEEL, astuple(model), strict=True))

    return {
        "version": VERSION,
        "thresholds": dict(mine.thresholds),
        "flywheel": None if mine.flywheel is None else wheel(mine.flywheel),
        "flywheels": {name: wheel(model) for name, model in mine.flywheels[:MOST_FLYWHEELS]},
        "words": mine.reworded(),
        "opening": mine.opening[:LONGEST_TEXT],
        "next_session": mine.next_session[:LONGEST_TEXT],
        "keep_months": mine.keep_months,
        "own_language": mine.own_language,
    }


class _Reading:
    """What is in the file, entry by entry; one that is wrong costs no other."""

    def __init__(self, told: dict[str, Any]) -> None:
        self._told = told
        self._wrong: list[str] = []

    def sentence(self, name: str) -> str:
        """Name what was left out."""
        if not self._wrong:
            return ""
        first = ", ".join(self._wrong[:3]) + (" …" if len(self._wrong) > 3 else "")
        return (
            f"Not all of your defaults in {name} could be used ({first}); the shipped values hold "
            "for the rest, and the file is kept as it is."
        )

    def thresholds(self) -> tuple[tuple[str, float], ...]:
        from analysis.findings.thresholds import Thresholds

        limits = Thresholds()
        for name, value in self._table("thresholds").items():
            try:
                limits = limits.with_changes({name: _number(value)})
            except UNREADABLE:
                self._leave_out(name)
        return limits.changed

    def flywheels(self) -> tuple[tuple[str, FlywheelModel], ...]:
        kept: dict[str, FlywheelModel] = {}
        for name, told in self._table("flywheels").items():
            model = self.flywheel(name, told)
            if model is not None and flywheel_name(name) and len(kept) < MOST_FLYWHEELS:
                kept[flywheel_name(name)] = model
        return tuple(kept.items())

    def flywheel(self, name: str, told: object) -> FlywheelModel | None:
        if told is None:
            return None
        try:
            if not isinstance(told, dict):
                raise ValueError("no table")
            values = [_number(told[key]) for key in _WHEEL]
            if not all(0.0 <= value <= _LARGEST for value in values):
                raise FlywheelError("out of bounds")
            return FlywheelModel(*values)
        except UNREADABLE:
            self._leave_out(name)
            return None

    def words(self) -> tuple[tuple[str, str, str], ...]:
        from analysis.findings.catalogue import read_catalogue

        known = read_catalogue().entries
        said: list[tuple[str, str, str]] = []
        for code, texts in self._table("words").items():
            if code not in known or not isinstance(texts, dict):
                self._leave_out(code)
                continue
            for key, text in texts.items():
                if key in REWORDED and isinstance(text, str):
                    said.append((code, key, readable(text)[:LONGEST_TEXT]))
                else:
                    self._leave_out(f"{code}: {key}")
        return tuple(sorted(said))

    def text(self, key: str) -> str:
        told = self._told.get(key, "")
        if isinstance(told, str):
            return readable(told)[:LONGEST_TEXT]
        self._leave_out(key)
        return ""

    def months(self, key: str) -> int:
        told = self._told.get(key, 0)
        if type(told) is int and 0 <= told <= MOST_MONTHS:
            return told
        self._leave_out(key)
        return 0

    def language(self, key: str) -> str:
        told = self._told.get(key, "")
        if told == "" or (isinstance(told, str) and is_language(told)):
            return str(told)
        self._leave_out(key)
        return ""

    def _table(self, key: str) -> dict[str, Any]:
        told = self._told.get(key, {})
        if isinstance(told, dict):
            return told
        self._leave_out(key)
        return {}

    def _leave_out(self, name: str) -> None:
        self._wrong.append(" ".join(readable(str(name)).split())[:LONGEST_NAME])


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("no number")
    number = float(value)
    if not math.isfinite(number):
        raise ValueError("no finite number")
    return number
