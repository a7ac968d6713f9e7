"""The curves and the numbers in the words of the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from analysis.force.curves import PERCENT, Axis
from analysis.force.target import sample_target
from app.bundle.page.sketch import crest_path
from app.bundle.sources.recordings import Sources, curve_on
from app.bundle.wording.mark_words import curve_marks_named
from app.bundle.wording.measure_words import MeasureWord, measures_in
from app.bundle.wording.text import one_line
from app.bundle.wording.words import Words
from app.review.parts.curve_marks import CurveMark, on_curve
from app.scene.figure import Moment

# A percent either way is rounding of the curve, not a change of the work.
_SAME_SHARE = 0.01
# Less than these nobody sees in a curve.
_ALIKE_SHARE, _LONGER_PCT = 0.02, 3.0


@dataclass(frozen=True)
class CurveView:
    """One picture of curves."""

    axis: Axis
    title: str
    alt: str
    svg: str
    png: str


def crest(sources: Sources) -> str:
    """Give the athlete's own mean curve as path data: it stands over the title as an ornament."""
    curve = curve_on(sources.main, "time")
    if curve is None:
        return ""
    return crest_path(curve.mean)


def curve_view(
    axis: Axis, sources: Sources, words: Words, marks: Sequence[CurveMark] = ()
) -> CurveView:
    """Give the picture of the curves on one axis with what it shows, said in words.

    Parameters
    ----------
    marks : what the coach drew on every stroke
    """
    name = words[f"axis_{axis}"]
    curves = curve_on(sources.main, axis)
    aim = {}
    if sources.target is not None and sources.target.axis == axis:
        aim = _peak(sample_target(sources.target))
    if curves is None:
        alt = words["curve_alt_only_target"].format(axis=name, **aim)
    else:
        alt = words["curve_alt"].format(axis=name, **_peak(curves.mean))
        alt += words["curve_alt_target"].format(**aim) if aim else ""
    drawn = curve_marks_named(on_curve(marks, axis, None), words)
    if drawn:
        alt += " " + words["still_alt_marks"].format(marks=", ".join(drawn))
    return CurveView(
        axis, words[f"curve_{axis}"], alt, f"curves/by-{axis}.svg", f"curves/by-{axis}.png"
    )


def with_moments(
    curves: Sequence[CurveView], moments: Sequence[Moment], words: Words
) -> list[CurveView]:
    """Say of the curve by time where the notes about the body stand on it."""
    said = "".join(
        words["curve_alt_moment"].format(number=moment.words, at=f"{moment.at:.0f}")
        for moment in moments
    )
    return [replace(c, alt=c.alt + said) if c.axis == "time" else c for c in curves]


def section_reading(sources: Sources, words: Words) -> str:
    """Say which strokes the mean is of; nothing where they are all of the piece."""
    sections = sources.submission.sections
    if len(sections) < 2:
        return ""
    section = max(sections, key=lambda s: s.count)
    said = words["section_of"].format(
        count=section.count, first=section.first + 1, last=section.last + 1
    )
    if section.rate_spm is not None:
        said += words["section_rate"].format(rate=f"{section.rate_spm:.0f}")
    name = f" “{one_line(section.name)}”" if section.origin == "coach" and section.name else ""
    return words["section_reading"].format(name=name, section=said)


def _peak(force_n: Any) -> dict[str, str]:
    at = int(force_n.argmax())
    return {"peak": f"{force_n[at]:.0f}", "at": f"{PERCENT[at]:.0f}"}


def target_axis(sources: Sources) -> Axis:
    """Give the axis the target stands on; by time where there is none."""
    return "time" if sources.target is None else sources.target.axis


def change_rows(sources: Sources, words: Words) -> list[dict[str, str]]:
    """Give what the target would change: title, now, target and difference of each measure."""
    change = sources.change
    if change is None:
        return []
    rows = []
    by_name = {m.name: m for m in measures_in(words)}
    # How fast force grows depends on the drive time: with a flywheel it stands there, once.
    grows = () if sources.flywheel is not None else ("rfd_n_per_s",)
    for name in ("peak_n", *grows, "plateau_pct", "mean_to_peak"):
        word = by_name[name]
        now, aim = getattr(change.now, name), getattr(change.target, name)
        if now is None or aim is None:
            now_text = aim_text = gap = words["change_none"]
        else:
            now_text, aim_text = word.show(now), word.show(aim)
            gap = _gap(word, now, aim, words)
        title = f"{word.title}, {word.unit}"
        rows.append({"title": title, "now": now_text, "target": aim_text, "gap": gap})
    return rows


def _gap(word: MeasureWord, now: float, aim: float, words: Words) -> str:
    # From the figures shown, so that a reader who subtracts finds the same.
    shown = round(aim * word.factor, word.digits) - round(now * word.factor, word.digits)
    if round(shown, word.digits) == 0:
        return words["change_same"]
    return word.show(shown / word.factor, signed=True)


def plain_change(sources: Sources, words: Words) -> str:
    """Say what the target changes in words of daily life: first of all what grows."""
    change = sources.change
    if change is None or change.now.peak_n is None or change.target.peak_n is None:
        return ""
    apart = change.target.peak_n / change.now.peak_n - 1.0
    now, aim = change.now.plateau_pct, change.target.plateau_pct
    longer = now is not None and aim is not None and aim - now >= _LONGER_PCT
    name = "lower" if apart < -_ALIKE_SHARE else "higher" if apart > _ALIKE_SHARE else ""
    key = "_".join(part for part in (name, "longer" if longer else "") if part) or "alike"
    said = words[f"plain_change_{key}"].format(now=f"{now or 0:.0f}", aim=f"{aim or 0:.0f}")
    return f"{said} {_plain_area(change.area_ratio, words)}".strip()


def _plain_area(ratio: float | None, words: Words) -> str:
    if ratio is None:
        return ""
    if abs(ratio - 1.0) <= _SAME_SHARE:
        return words["plain_area_same"]
    return words["plain_area_more" if ratio > 1.0 else "plain_area_less"]


def area_sentence(sources: Sources, words: Words) -> str:
    """Say what becomes of the work or the impulse of a stroke."""
    ratio = None if sources.change is None else sources.change.area_ratio
    if ratio is None:
        return ""
    kind = "work" if target_axis(sources) == "length" else "impulse"
    if abs(ratio - 1.0) <= _SAME_SHARE:
        return words[f"change_{kind}_same"]
    return words[f"change_{kind}"].format(percent=f"{100.0 * ratio:.0f}")


def number_rows(sources: Sources, words: Words) -> list[dict[str, str]]:
    """Give each measure with its mean, spread and definition."""
    rows = []
    for word in measures_in(words):
        spread = sources.usual.get(word.name)
        if spread is None:
            continue
        rows.append(
            {
                "title": word.title,
                "meaning": _meaning(word, sources, words),
                "mean": word.show(spread.mean),
                "sd": word.show_spread(spread.sd),
                "unit": word.unit,
            }
        )
    return rows


def _meaning(word: MeasureWord, sources: Sources, words: Words) -> str:
    """Give the definition of a measure; in the picture a drive has other ends than in the force."""
    if not sources.from_picture or f"picture_meaning_{word.name}" not in words:
        return word.meaning
    return words[f"picture_meaning_{word.name}"]


def frame_ms(sources: Sources) -> int:
    """How far off a turn of the hands may be, whole milliseconds; 0 where nobody was followed."""
    from analysis.body.piece import turns_good_to_s

    return 0 if sources.body is None else round(1000.0 * turns_good_to_s(sources.body.track))
