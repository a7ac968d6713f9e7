"""The coach's own words on the page: in which language they are, and which way they run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.bundle.wording.finding_texts import code_of
from app.bundle.wording.words import Words
from app.review.parts.sending import SendingPlan

if TYPE_CHECKING:
    from markupsafe import Markup

# Those written from right to left (Unicode CLDR, orientation of the usual script).
_FROM_THE_RIGHT: Final = frozenset(
    ("ar", "arc", "ckb", "dv", "fa", "he", "ks", "nqo", "ps", "sd", "syr", "ug", "ur", "yi")
)


@dataclass(frozen=True)
class OwnWords:
    """Says what an element of the page needs that holds words of the coach.

    Attributes
    ----------
    own : the language the coach said those words are in, "" for none
    page : that of the page
    """

    own: str
    page: str

    def __call__(self, text: str, own: bool = True) -> Markup:
        """Give its attributes, with a space before them.

        Parameters
        ----------
        text : what stands there; sentences of the catalogue are in the language of the page
        own : whether the coach wrote it at all
        """
        from markupsafe import Markup

        if not self.own or not own or code_of(text):
            return Markup(' dir="auto"')
        base = self.own.partition("-")[0]
        way = "rtl" if base in _FROM_THE_RIGHT else "ltr"
        lang = "" if self.own == self.page else f' lang="{self.own}"'
        return Markup(f'{lang} dir="{way}"')


def own_words(plan: SendingPlan, words: Words) -> OwnWords:
    """Give what the templates of a page ask."""
    return OwnWords(plan.own_language, words["language"])
