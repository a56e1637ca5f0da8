"""One sum in words, with what it rests on."""

from __future__ import annotations

from dataclasses import dataclass

from watervane.reference import source
from watervane.wording.amounts import listed
from watervane.wording.templates import phrase


@dataclass(frozen=True, slots=True)
class Why:
    """One sum in words, and what it rests on."""

    text: str
    sources: str = ""
    cited: tuple[str, ...] = ()

    @property
    def whole(self) -> str:
        """Both as one text."""
        return f"{self.text} {self.sources}".strip()


def why(key: str, *sources: str, **told: object) -> Why:
    """A sum by its key, its numbers put in, and the publications it rests on.

    Parameters
    ----------
    key
        Of the sentence.
    sources
        Keys of publications.
    told
        What the sentence asks for.
    """
    cited = tuple(source(each).citation for each in sources)
    told_of = phrase("why-source", sources=listed(list(cited))) if cited else ""
    return Why(phrase(key, **told), told_of, cited)
