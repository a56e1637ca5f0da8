"""A page in one file: folds in folds, no script, no network, no other file."""

from __future__ import annotations

import base64
import hashlib
import html
from dataclasses import dataclass
from importlib import resources

from watervane.report.sheet import (
    Block,
    Columns,
    Drawing,
    Heading,
    Items,
    Paragraph,
    Steps,
    Table,
)

STYLE = "still.css"
DEEPEST = 6


@dataclass(frozen=True, slots=True)
class Fold:
    """What opens at a touch: blocks, then further folds under a question."""

    label: str
    blocks: tuple[Block, ...] = ()
    question: str = ""
    folds: tuple[Fold, ...] = ()


@dataclass(frozen=True, slots=True)
class StillPage:
    """A page: what it says first, a question whose answers are folds, and what follows them."""

    title: str
    lead: str
    question: str
    folds: tuple[Fold, ...]
    after: tuple[Block, ...] = ()
    foot: str = ""
    language: str = "en"


def still_page(page: StillPage) -> str:
    """A page as HTML that lets nothing in from anywhere: its policy allows its own style alone."""
    style = resources.files("watervane.report").joinpath(STYLE).read_text(encoding="utf-8")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    title = html.escape(page.title)
    return "\n".join(
        (
            "<!doctype html>",
            f'<html lang="{html.escape(page.language)}">',
            '<head>\n<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            '<meta name="color-scheme" content="light dark">',
            f"<title>{title}</title>\n<style>{style}</style>\n</head>\n<body>\n<main>",
            f"<h1>{title}</h1>",
            f'<p class="lead">{html.escape(page.lead)}</p>',
            *_folds(page.question, page.folds, 2),
            *(_block(block, 2) for block in page.after),
            f"<footer><p>{html.escape(page.foot)}</p></footer>",
            "</main>\n</body>\n</html>\n",
        )
    )


def _folds(question: str, folds: tuple[Fold, ...], level: int) -> list[str]:
    parts = [f"<h{level}>{html.escape(question)}</h{level}>"] if question else []
    for fold in folds:
        parts.append(f"<details><summary>{html.escape(fold.label)}</summary>")
        parts += [_block(block, min(level + 1, DEEPEST)) for block in fold.blocks]
        parts += _folds(fold.question, fold.folds, min(level + 1, DEEPEST))
        parts.append("</details>")
    return parts


def _block(block: Block, level: int) -> str:
    if isinstance(block, Heading):
        return f"<h{level}>{html.escape(block.text)}</h{level}>"
    if isinstance(block, Paragraph):
        return f'<p class="{block.tone}">{html.escape(block.text)}</p>'
    if isinstance(block, Steps):
        return f'<ol start="{block.first}">{_listed(block.items)}</ol>'
    if isinstance(block, Items):
        return f"<ul>{_listed(block.items)}</ul>"
    if isinstance(block, Table):
        return _table(block)
    if isinstance(block, Drawing):
        told = base64.b64encode(block.svg.encode()).decode()
        return f'<img alt="{html.escape(block.told)}" src="data:image/svg+xml;base64,{told}">'
    if isinstance(block, Columns):
        return "\n".join(_block(each, level) for part in block.parts for each in part)
    raise TypeError(f"no such block: {block!r}")


def _listed(items: tuple[str, ...]) -> str:
    return "".join(f"<li>{html.escape(item)}</li>" for item in items)


def _table(block: Table) -> str:
    head = "".join(f'<th scope="col">{html.escape(cell)}</th>' for cell in block.headers)
    rows = "".join(
        f'<tr><th scope="row">{html.escape(first)}</th>'
        + "".join(f"<td>{html.escape(cell)}</td>" for cell in rest)
        + "</tr>"
        for first, *rest in block.rows
    )
    caption = html.escape(block.caption)
    return (
        f'<div class="scroll" role="region" tabindex="0" aria-label="{caption}"><table>'
        f"<caption>{caption}</caption><thead><tr>{head}</tr></thead><tbody>{rows}</tbody>"
        "</table></div>"
    )
