"""What became of last time, on the page: one sentence, one curve over another, then the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from analysis.comparing.curves import CurvePair
from analysis.following_up.follow import Followed
from analysis.signals.along import PERCENT
from app.bundle.page.last_time_pictures import Beside
from app.bundle.pictures.curves import LETTER, SIZE, write_figure
from app.bundle.pictures.movement import OrderFiles
from app.bundle.pictures.strips import StripFiles
from app.bundle.sources.last_time import LastTime, MeanPair
from app.bundle.wording.finding_texts import finding_texts
from app.bundle.wording.measure_words import measures_in
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.scene.pair_figure import PairWords, pair_figure

SVG: Final = "curves/last-time.svg"
_PNG: Final = "curves/last-time.png"
_ORDER: Final = ("changed", "not yet", "cannot tell")
_KEYS: Final = {
    "changed": "last_time_changed", "not yet": "last_time_not_yet",
    "cannot tell": "last_time_cannot_tell",
}  # fmt: skip
_SENTENCES: Final = {
    "changed": "last_time_changed_to", "not yet": "last_time_not_yet_but",
    "cannot tell": "last_time_cannot_tell_of",
}  # fmt: skip


NONE: Final = Beside()


@dataclass(frozen=True)
class LastTimeView:
    """What its template shows.

    Attributes
    ----------
    sentence : the one that counts
    rows : (outcome, what) of everything that was prescribed
    svg : path of the curves inside the bundle, "" for none
    orders, strips : (when, picture) of last time and this time; none where one is not at hand
    """

    title: str
    sentence: str
    rows: tuple[tuple[str, str], ...]
    svg: str
    alt: str
    method: str
    orders: tuple[tuple[str, OrderFiles], ...] = ()
    strips: tuple[tuple[str, StripFiles], ...] = ()


def last_time_part(
    last: LastTime | None, folder: Path, words: Words, pictures: Beside = NONE
) -> dict[str, Any]:
    """Draw the curves into the folder, and give what the page's template asks for.

    Parameters
    ----------
    pictures : of both times, as they lie in the folder

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    if last is None or not last.says_something:
        return {"last_time": None}
    svg = ""
    if last.means is not None and not last.unlike:
        _draw(last.means, folder, words)
        svg = SVG
    times = words["last_time_before"], words["last_time_this"]
    heading = words["last_time"]
    if last.rowed_on:
        heading = words["last_time_on"].format(date=last.rowed_on[:10])
    told = [(row, what_of(row, words)) for row in last.rows]
    rows = () if last.unlike else tuple((words[_KEYS[row.outcome]], what) for row, what in told)
    return {
        "last_time": LastTimeView(
            heading, _sentence(last, told, words), rows if len(rows) > 1 else (), svg,
            words["last_time_alt"], words["last_time_method"],
            tuple(zip(times, pictures.orders or (), strict=False)),
            tuple(zip(times, pictures.strips or (), strict=False)),
        )
    }  # fmt: skip


def last_time_record(last: LastTime | None) -> dict[str, Any]:
    """Give it for review.json; nothing where there is nothing to say."""
    if last is None or not last.says_something:
        return {}
    rows = [
        {
            "finding": row.prescribed.finding if row.prescribed else "",
            "measure": row.key,
            "outcome": row.outcome,
            "better": row.better,
            "before": row.before,
            "after": row.after,
        }
        for row in last.rows
    ]
    return {"last_time": {"rowed_on": last.rowed_on, "comparable": not last.unlike, "rows": rows}}


def what_of(row: Followed, words: Words) -> str:
    """What was followed, this time and last time, in the words of the page."""
    if row.key == "share":
        title = _title(row, words)
        if row.before is None or row.after is None:
            return words["last_time_unknown"].format(title=title)
        now, then = (f"{100.0 * share:.0f}" for share in (row.after, row.before))
        return words["last_time_share"].format(title=title, now=now, then=then)
    word = next((w for w in measures_in(words) if w.name == row.key), None)
    if word is None or row.before is None or row.after is None:
        return words["last_time_unknown"].format(title=_title(row, words))
    return words["last_time_measure"].format(
        title=word.title, now=word.with_unit(row.after), then=word.with_unit(row.before)
    )


def _title(row: Followed, words: Words) -> str:
    told = row.prescribed
    if told is None:
        return row.key
    text = finding_texts(words["language"]).get(told.finding)
    return one_line((text.title if text is not None else "") or told.title)


def _sentence(last: LastTime, told: Sequence[tuple[Followed, str]], words: Words) -> str:
    """The clearest outcome of what was prescribed, in one sentence."""
    if last.unlike:
        return words["last_time_unlike"]
    if not told:
        return ""
    row, what = min(told, key=lambda pair: _ORDER.index(pair[0].outcome))
    key = _SENTENCES[row.outcome]
    if row.outcome == "changed" and row.better is False:
        key = "last_time_changed_back"
    return words[key].format(what=what)


def _draw(means: MeanPair, folder: Path, words: Words) -> None:
    # What is dashed on this page is what is not rowed now: last time here, the target elsewhere.
    pair = CurvePair(
        "percent", PERCENT.astype(float), means.now, means.then,
        **({} if means.is_force else {"signal": "other", "title": means.title, "unit": means.unit}),
    )  # fmt: skip
    seen = "" if means.is_force else "_picture"
    y_words = words["y_force"] if means.is_force else f"{one_line(means.title)}, {means.unit}"
    catch, finish = ("catch", "finish") if means.is_force else ("hands_turn", "finish_turn")
    said = PairWords(
        words["x_time" + seen], y_words, words["last_time_this"], words["last_time_before"],
        words["compare_shaded"], words[catch], words[finish], words["decimal"],
    )  # fmt: skip
    (folder / "curves").mkdir(exist_ok=True)
    write_figure(pair_figure(pair, said, SIZE, LETTER), folder / _PNG, folder / SVG)
