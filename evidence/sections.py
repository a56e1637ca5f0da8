"""What a section of the page is: a module that runs what it needs and tells what was found."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

import vl_convert

NOTHING_RUN = "Nothing was run yet"  # of a section without a single run
RUN_IT = f"{NOTHING_RUN}: `make evidence` runs it."


@dataclass(frozen=True)
class Picture:
    """A chart under a section's text.

    Parameters
    ----------
    name
        Of its file, without ending.
    caption
        What it shows, for those who do not see it, too.
    spec
        Vega-Lite.
    """

    name: str
    caption: str
    spec: Mapping[str, Any]

    def draw(self, folder: Path) -> None:
        """Write it as SVG."""
        folder.mkdir(parents=True, exist_ok=True)
        drawn = vl_convert.vegalite_to_svg(json.dumps(self.spec))
        (folder / f"{self.name}.svg").write_text(drawn, encoding="utf-8")


@dataclass(frozen=True)
class Section:
    """A section of the page.

    Parameters
    ----------
    title
        Its heading.
    text
        Markdown: what was measured, on how many, and what is not good.
    pictures
        Drawn under the text.
    """

    title: str
    text: str
    pictures: tuple[Picture, ...] = ()


class Provider(Protocol):
    """A module of a section."""

    def run(self, *, anew: bool, workers: int) -> None:
        """Run what is not kept yet (or everything ``anew``) in so many processes."""

    def section(self) -> Section:
        """Tell what is kept."""


def table(head: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Markdown of a table.

    Parameters
    ----------
    head
        Of the columns.
    rows
        Written as they are.
    """
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(map(str, line)) + " |" for line in lines)


def picture_of(several: Sequence[Picture], folder: str) -> str:
    """Markdown that shows pictures standing in a folder beside the page."""
    return "\n\n".join(f"![{each.caption}]({folder}/{each.name}.svg)" for each in several)
