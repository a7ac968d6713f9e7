from __future__ import annotations

import re
from xml.etree import ElementTree

from app.scene.colours import LIGHT
from app.scene.curve_marks import PALETTE as MARKS
from app.scene.night import with_night
from app.scene.shapes import Drawing, Rect
from app.scene.svg import document
from tests.helpers.contrast import contrast

SVG = (
    '<?xml version="1.0"?>\n'
    '<svg xmlns="http://www.w3.org/2000/svg" width="1"><rect fill="#FFFFFF"/></svg>'
)


def test_it_stays_the_picture_it_was() -> None:
    tree = ElementTree.fromstring(with_night(SVG))
    style, rect = list(tree)
    assert style.tag.endswith("style")
    assert rect.attrib == {"fill": "#FFFFFF"}
    assert (style.text or "").startswith("@media screen and (prefers-color-scheme:dark)")


def test_words_can_still_be_told_from_their_ground() -> None:
    rules = dict(re.findall(r'\[fill="(#\w+)"\]\{fill:(#\w+)!important\}', with_night(SVG)))
    ground = rules["#FFFFFF"]
    for ink in ("#1B1F23", "#4A5259", "#000000", "#0072B2"):
        assert contrast(rules[ink], ground) >= 4.5
    assert contrast(rules["#1B1F23"], rules["#FBE3CC"]) >= 4.5  # a finding's name on its span


def test_every_tone_of_a_drawing_by_day_has_one_by_night() -> None:
    """But for the coach's marks, which lie on a casing of their own, and what is pointed at."""
    drawn = {ink for role, ink in LIGHT.items() if role not in MARKS and role not in ("accent",)}
    shapes = tuple(Rect(0.0, 0.0, 1.0, 1.0, ink) for ink in drawn)
    text = with_night(document(Drawing(9.0, 9.0, shapes), LIGHT))
    turned = set(re.findall(r'\[fill="(#\w+)"\]', text))
    assert drawn <= turned
