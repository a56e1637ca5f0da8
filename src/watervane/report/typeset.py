"""Typeset a sheet with Typst. The template is ours and fixed; a sheet reaches it as data only."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree as ET

from watervane.report.sheet import Block, Columns, Drawing, Sheet

if TYPE_CHECKING:
    import typst

TEMPLATE = "sheet.typ"
FONTS = "fonts"
LETTERS, INK = "Source Sans Pro", "#22272b"  # of drawings that name none
SVG = "http://www.w3.org/2000/svg"
EPOCH = 0  # a sheet of the same words is the same file


def sheet_pdf(sheet: Sheet) -> bytes:
    """A sheet as PDF.

    Parameters
    ----------
    sheet
        Its texts are set letter by letter: marks that Typst would read as markup stay marks.

    Returns
    -------
    bytes
        Tagged PDF; the letters are those of the package, whatever the machine has installed.
    """
    import typst  # tens of megabytes: only where a sheet is asked for

    made = typst.compile(
        _template(),
        format="pdf",
        font_paths=_fonts(),
        sys_inputs={"sheet": json.dumps(_document(sheet), ensure_ascii=False, allow_nan=False)},
        timestamp=EPOCH,
    )
    if not isinstance(made, bytes):
        raise TypeError("Typst gave no single document")
    return made


@cache
def _template() -> bytes:
    return resources.files("watervane.report").joinpath(TEMPLATE).read_bytes()


@cache
def _fonts() -> typst.Fonts:
    import typst

    folder = resources.files("watervane.report").joinpath(FONTS)
    with resources.as_file(folder) as found:
        return typst.Fonts(
            include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(found)]
        )


def _document(sheet: Sheet) -> dict[str, Any]:
    return {
        "title": sheet.title,
        "lead": sheet.lead,
        "foot": sheet.foot,
        "paper": sheet.paper,
        "language": sheet.language,
        "blocks": [_block(block) for block in sheet.blocks],
    }


def _block(block: Block) -> Mapping[str, Any]:
    kind = type(block).__name__.lower()
    if isinstance(block, Columns):
        return {"kind": kind, "parts": [[_block(each) for each in part] for part in block.parts]}
    if isinstance(block, Drawing):
        return {"kind": kind, **asdict(block), "svg": _printable(block.svg)}
    return {"kind": kind, **asdict(block)}


def _printable(svg: str) -> str:
    """A drawing in our letters and ink: on a page it takes both from what stands around it."""
    ET.register_namespace("", SVG)
    root = ET.fromstring(svg)  # noqa: S314 - drawn by ourselves, never handed in
    root.attrib.setdefault("font-family", LETTERS)
    root.attrib.setdefault("color", INK)
    return ET.tostring(root, encoding="unicode")
