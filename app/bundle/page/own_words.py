"""The coach's own words on the page: in which language they are, and which way they run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from app.bundle.wording.finding_texts import code_of, is_foreign
from app.bundle.wording.unbroken import held
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

    def foreign(self, text: str) -> bool:
        """Whether words are in another language than the page, and so have no place in a label.

        A label is read out in the language of the page from end to end: it cannot say where another
        begins. What is foreign is left to the elements that hold it, with their language.
        """
        return is_foreign(text, self.own, self.page)

    def inside(self, wording: str, **said: str) -> str:
        """Fill a wording of the page with words of the coach, each with its language."""
        from markupsafe import Markup

        if not any(map(self.foreign, said.values())):
            return wording.format(**said)
        words = {
            name: Markup("<span{}>{}</span>").format(self(text, self.foreign(text)), text)
            for name, text in said.items()
        }
        return Markup(held(wording)).format(**words)


def own_words(plan: SendingPlan, words: Words) -> OwnWords:
    """Give what the templates of a page ask."""
    return OwnWords(plan.own_language, words["language"])
