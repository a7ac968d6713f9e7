"""The bundle's colours, by day and by night, and how far they stand apart.

By day black and blue of the Okabe–Ito set on white: of that set only these two reach 4.5 : 1
there. By night white and its sky blue on near black. The other tones carry no meaning of their
own, and meaning is never left to colour: curves differ by line style and label, states by words.
"""

from __future__ import annotations

from app.scene import curve_marks
from app.scene.shapes import Palette

BLACK = "#000000"
INK = "#1B1F23"
QUIET_INK = "#4A5259"
BLUE = "#0072B2"
PAPER = "#FFFFFF"
MIST = "#F3F7FA"  # ground behind quiet blocks
BAND = "#CFE3F0"  # spread around the mean
RULE = "#D5DDE3"  # hairlines that only decorate
EDGE = "#767F87"  # edges of things that can be pressed: at least 3 : 1 on paper

# What scenes are drawn in on the page. A stroke of its own is black, the mean of them blue.
LIGHT: Palette = {
    **curve_marks.PALETTE,
    "ground": PAPER,
    "ink": INK,
    "drawn words": INK,
    "quiet": QUIET_INK,
    "rule": RULE,
    "hair": "#9AA5AD",
    "own": BLACK,
    "typical": BLACK,
    "mean": BLUE,
    "lead mean": BLUE,
    "target": BLACK,
    "left": BLUE,
    "right": BLACK,
    "band": BAND,
    "fill": MIST,
    "cursor": QUIET_INK,
    # Okabe-Ito: vermilion for what is pointed at.
    "accent": "#D55E00",
    "shade": "#FBE3CC",
}
# On the dark ground under a film and of the bench: white 16 : 1, the others of the Okabe-Ito set,
# made lighter where they are too dark, each over 5 : 1. Dashes differ as well.
DARK: Palette = {
    **curve_marks.PALETTE,
    "ground": "#14181A",
    "ink": "#EEF3F4",
    "drawn words": "#EEF3F4",
    "quiet": "#A9B7BD",
    "rule": "#2A3236",
    "hair": "#5B6A72",
    "own": "#56B4E9",
    "mean": "#EEF3F4",
    "target": "#3FD0A5",
    "left": "#56B4E9",
    "right": "#CC79A7",
    "band": "#343E44",
    "fill": "#1B2A33",
    "cursor": "#E69F00",
    "accent": "#E69F00",
    "shade": "#3D301A",
    "signal 0": "#CC79A7",
    "signal 1": "#F0E442",
    "signal 2": "#FF8C4A",
    "signal 3": "#3FD0A5",
    "signal 4": "#E69F00",
}

# The same by night. Pictures that are drawn once for both are turned by `night.py`.
NIGHT = {
    BLACK: "#FFFFFF",
    INK: "#E9EDF0",
    QUIET_INK: "#AEB8C0",
    BLUE: "#56B4E9",
    PAPER: "#14181A",
    MIST: "#1E2529",
    BAND: "#1F4257",
    RULE: "#333D43",
    EDGE: "#87929A",
}
