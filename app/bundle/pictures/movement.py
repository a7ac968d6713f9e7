"""The order of movement as pictures: legs, trunk and arms over the drive."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

from analysis.body.order import PARTS, Order
from app.bundle.wording.words import Words
from app.scene import raster, svg
from app.scene.colours import LIGHT
from app.scene.night import with_night
from app.scene.order_figure import OrderLook, order_drawing

# As wide as a strip, and as a force curve beside which it may stand; letters as large as there.
WIDE: Final = OrderLook(720.0, 14.0)
NARROW: Final = OrderLook(331.0, 12.0)
# Starts nearer to each other than this, percent of the drive, are told as one: followed points
# leave a start up to 57 ms of doubt (19 of 20), and a drive takes some 1.1 s.
TOGETHER_PCT: Final = 5.0


@dataclass(frozen=True)
class OrderFiles:
    """The figure as the page shows it.

    Attributes
    ----------
    svg, narrow : paths inside the bundle; `narrow` is for a phone, and beside a force curve
    size, narrow_size : width and height in points
    sentence : the order in plain words
    alt : what is seen, for whoever cannot see it
    """

    svg: str
    narrow: str
    size: tuple[int, int]
    narrow_size: tuple[int, int]
    sentence: str
    alt: str


def order_files(
    order: Order | None, folder: Path, words: Words, name: str = "order"
) -> OrderFiles | None:
    """Write the figure into a bundle's folder; None where the order is not known.

    Parameters
    ----------
    name : of its files

    Raises
    ------
    OSError
        The folder cannot be written.
    """
    if order is None:
        return None
    (folder / "movement").mkdir(exist_ok=True)
    names = f"movement/{name}.svg", f"movement/{name}-narrow.svg"
    alt, sizes = _alt(order, words), []
    for path, look in zip(names, (WIDE, NARROW), strict=True):
        drawing = order_drawing(order, look, raster.measure, _figure_words(words))
        text = with_night(svg.document(drawing, LIGHT, alt, outlined=True))
        (folder / path).write_text(text, "utf-8", newline="")
        sizes.append((round(drawing.width), round(drawing.height)))
    wide, narrow = sizes
    return OrderFiles(*names, wide, narrow, order_sentence(order, words), alt)


def order_sentence(order: Order, words: Words) -> str:
    """Say in which order the parts begin to move; "" where fewer than two of them do.

    Parts that begin within `TOGETHER_PCT` of the one before them are named together.
    """
    begun = sorted(
        (part.start.middle, PARTS.index(part.name), part.name)
        for part in order.parts
        if part.start is not None
    )
    if len(begun) < 2:
        return ""
    groups: list[list[str]] = []
    last = -float("inf")
    for at, _, name in begun:
        if at - last < TOGETHER_PCT:
            groups[-1].append(name)
        else:
            groups.append([name])
        last = at
    if len(groups) == 1:
        every = words["order_all"].format(parts=_listed(groups[0], words))
        return words["order_sentence"].format(groups=every)
    said = [_named(group, words) for group in groups]
    first = words["order_first"].format(parts=said[0])
    rest = (words["order_then"].format(parts=parts) for parts in said[1:])
    return words["order_sentence"].format(groups=first + "".join(rest))


def _named(group: list[str], words: Words) -> str:
    listed = _listed(group, words)
    return listed if len(group) == 1 else words["order_together"].format(parts=listed)


def _listed(group: list[str], words: Words) -> str:
    names = [words[f"order_the_{name}"] for name in group]
    if len(names) == 1:
        return names[0]
    return words["order_and"].format(parts=", ".join(names[:-1]), last=names[-1])


def _figure_words(words: Words) -> dict[str, str]:
    return {
        **{name: words[f"order_{name}"] for name in PARTS},
        "hands turn": words["hands_turn"],
        "finish turn": words["finish_turn"],
        "title": words["order_title"],
        "still": words["order_still"],
        "share": words["order_share"],
    }


def _alt(order: Order, words: Words) -> str:
    said = [f"{words['order_title']}."]
    for part in order.parts:
        facts = {"part": words[f"order_{part.name}"], "share": _whole(part.share.middle)}
        if part.start is None or part.end is None:
            said.append(words["order_alt_still"].format(**facts))
        else:
            begin, end = _whole(part.start.middle), _whole(part.end.middle)
            said.append(words["order_alt_part"].format(begin=begin, end=end, **facts))
    return " ".join(said)


def _whole(percent: float) -> str:
    return f"{percent:.0f}".replace("-", "\N{MINUS SIGN}")
