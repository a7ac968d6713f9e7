"""The trend of the load on the low back, as the page shows it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from app.bundle.sources.recordings import Sources
from app.bundle.wording.words import Words
from app.scene import raster, svg
from app.scene.back_figure import BackLook, back_drawing, back_words
from app.scene.colours import LIGHT
from app.scene.night import with_night
from app.submission.back import back_seen

LOOK: Final = BackLook(520.0, 13.0)
# What an athlete can do something about, or should know of a film that came with a force.
TOLD: Final = ("off_square", "no_stature", "few_points", "few_strokes")


@dataclass(frozen=True)
class BackPart:
    """What the page says of it.

    Attributes
    ----------
    svg : path inside the bundle, "" where there is no trend
    size : width and height in points
    sentence : the trend, or why there is none
    record : for `review.json`; empty where there is no trend
    """

    svg: str
    size: tuple[int, int]
    sentence: str
    record: dict[str, Any]


def back_part(sources: Sources, folder: Path, words: Words) -> BackPart | None:
    """Write the figure into a bundle's folder; None where nothing is to be said.

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    seen = back_seen(sources.submission)
    trend = seen.trend
    if trend is None or trend.change is None:
        said = words[f"back_{seen.lack}"] if seen.lack in TOLD else ""
        return BackPart("", (0, 0), said, {}) if said else None
    own = {name: words[f"back_{name}"] for name in ("axis", "strokes", "rise", "fall", "unsure")}
    own["title"] = words["back_figure"]
    sentence = back_words(trend, own)
    drawing = back_drawing(trend, LOOK, raster.measure, own)
    (folder / "movement").mkdir(exist_ok=True)
    text = with_night(svg.document(drawing, LIGHT, sentence, outlined=True))
    name = "movement/back.svg"
    (folder / name).write_text(text, "utf-8", newline="")
    change = trend.change
    record = {
        "strokes": list(trend.strokes),
        "relative": [float(v) for v in trend.relative],
        "change": change.change, "low": change.low, "high": change.high,
        "limits": list(trend.limits),
    }  # fmt: skip
    size = round(drawing.width), round(drawing.height)
    return BackPart(name, size, sentence, {"low_back_trend": record})
