"""Signs the bundle's own font lacks: an emoji is said in words, a letter is found elsewhere.

Pictures are drawn with the font that comes with the curves, which has no colour pictures. An empty
box would tell the athlete nothing, so what cannot be drawn is named. The page itself keeps the
emoji: whoever reads it has a font for them.
"""

from __future__ import annotations

import logging
import unicodedata
from functools import lru_cache
from typing import Final

OWN_FONT: Final = "DejaVu Sans"
# The same sign without its coloured ground.
_PLAIN: Final = {
    "✅": "✔",
    "❌": "✖",
    "❎": "✖",
    "⭐": "★",
    "🔴": "●",
    "🟢": "●",
    "🔵": "●",
    "🟡": "●",
}
_KEYCAP: Final = "\u20e3"
_JOINER: Final = "\u200d"


def drawable(text: str) -> str:
    """Text in which emoji the font lacks stand as their Unicode name: "(flexed biceps)".

    Names are those of the Unicode Character Database, in English in every language. Letters,
    Arabic joiners among them, are left as they are.
    """
    said: list[str] = []
    flag = ""
    for i, sign in enumerate(text):
        code = ord(sign)
        if 0x1F1E6 <= code <= 0x1F1FF:  # two of these are one flag
            flag += chr(code - 0x1F1E6 + ord("A"))
            if len(flag) == 2:
                said.append(f"({flag})")
                flag = ""
            continue
        said.append(f"({flag})" if flag else "")
        flag = ""
        if _only_dresses(sign, text[i - 1] if i else ""):
            continue
        said.append(sign if not _is_picture(sign) or code in _own_signs() else _word_for(sign))
    said.append(f"({flag})" if flag else "")
    return "".join(said)


@lru_cache(maxsize=64)
def families_for(text: str) -> tuple[str, ...]:
    """Fonts to draw a text with: our own, then those of the machine that have what it lacks."""
    from matplotlib.font_manager import fontManager, get_font

    # It would tell the console of every font that has no bold.
    logging.getLogger("matplotlib.font_manager").setLevel(logging.ERROR)
    missing = {ord(c) for c in text if not c.isspace()} - _own_signs()
    found = [OWN_FONT]
    for face in sorted(fontManager.ttflist, key=lambda f: (f.name, f.fname)):
        if not missing:
            break
        if face.style != "normal" or _is_of_no_use(face.name):
            continue
        try:
            has = missing & get_font(face.fname).get_charmap().keys()
        except (OSError, RuntimeError):  # gone, or not a font after all
            continue
        if has:
            found.append(face.name)
            missing -= has
    return tuple(found)


@lru_cache(maxsize=1)
def _own_signs() -> frozenset[int]:
    """What our font can draw, in bold, which has fewer signs."""
    from matplotlib.font_manager import FontProperties, findfont, get_font

    path = findfont(FontProperties(family=OWN_FONT, weight="bold"))
    return frozenset(get_font(path).get_charmap())


def _is_of_no_use(family: str) -> bool:
    """Whether a font has no outlines but colours, or only boxes in place of letters."""
    return any(word in family.lower() for word in ("emoji", "last resort", "lastresort"))


def _is_picture(sign: str) -> bool:
    return unicodedata.category(sign) == "So" or 0x1F000 <= ord(sign) <= 0x1FAFF


def _only_dresses(sign: str, before: str) -> bool:
    """Whether a sign changes the look of the one before it and shows nothing itself."""
    if _dresses(sign) or sign == _KEYCAP:
        return True
    # Arabic and Indian letters need the joiner; pictures do not.
    return sign == _JOINER and before != "" and (_is_picture(before) or _dresses(before))


def _dresses(sign: str) -> bool:
    code = ord(sign)
    return 0xFE00 <= code <= 0xFE0F or 0x1F3FB <= code <= 0x1F3FF or 0xE0020 <= code <= 0xE007F


def _word_for(sign: str) -> str:
    if sign in _PLAIN:
        return _PLAIN[sign]
    name = unicodedata.name(sign, "sign").lower()
    return f"({name.removesuffix(' sign').removesuffix(' symbol')})"
