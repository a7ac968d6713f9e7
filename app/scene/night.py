"""Pictures of curves that follow the reader's light or dark setting.

An SVG in a page is a document of its own and asks for itself, so its dark colours go into it.
"""

from __future__ import annotations

from app.scene.colours import NIGHT

# Tones of a strip that no words stand on: the lines down to the curve, a finding's span.
_ALSO = {"#9AA5AD": "#6C777F", "#FBE3CC": "#4D3421"}


def with_night(svg: str) -> str:
    """Give an SVG that turns its colours where the reader prefers dark; on paper it stays light.

    Fills and strokes count that are written as attributes, as the painter writes them.
    """
    rules = "".join(
        f'[{part}="{day}"]{{{part}:{night}!important}}'
        for day, night in {**NIGHT, **_ALSO}.items()
        for part in ("fill", "stroke")
    )
    at = svg.index(">", svg.index("<svg")) + 1
    style = f"<style>@media screen and (prefers-color-scheme:dark){{{rules}}}</style>"
    return svg[:at] + style + svg[at:]
