"""What a sheet is made of. Every text is set as it is: nothing in it is markup."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading inside the sheet."""

    text: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A paragraph; ``tone`` is ``plain``, ``strong`` or ``faint``."""

    text: str
    tone: str = "plain"


@dataclass(frozen=True, slots=True)
class Steps:
    """Numbered steps, from ``first`` on."""

    items: tuple[str, ...]
    first: int = 1


@dataclass(frozen=True, slots=True)
class Items:
    """A list without numbers; ``boxes`` are to be ticked off with a pen."""

    items: tuple[str, ...]
    boxes: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table; the first column is set flush left, the others as they come."""

    caption: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing as SVG text, with what it shows in words."""

    svg: str
    told: str
    width_cm: float = 16.0


@dataclass(frozen=True, slots=True)
class Columns:
    """Parts side by side."""

    parts: tuple[tuple[Block, ...], ...]


Block = Heading | Paragraph | Steps | Items | Table | Drawing | Columns


@dataclass(frozen=True, slots=True)
class Sheet:
    """A printed sheet of one or more pages.

    ``paper`` is a Typst paper name; ``foot`` stands on every page beside its number.
    """

    title: str
    lead: str
    blocks: Sequence[Block]
    foot: str = ""
    paper: str = "a4"
    language: str = "en"
