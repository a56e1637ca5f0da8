"""The picture as one self-contained page: no other host, a strict content security policy."""

from __future__ import annotations

import base64
import hashlib
import html
import json
from importlib import resources
from string import Template

from watervane.charts.picture import Emblem, Picture, WordTable
from watervane.charts.spec import forecast_spec
from watervane.charts.theme import PAGE, config

VEGA_LITE = "6.4"
MARKS = 20
PAGE_PADDING = {"left": 4, "right": 10, "top": 4, "bottom": 4}


def page(picture: Picture) -> str:
    """The whole page as HTML.

    Without scripts it shows the same drawing at a fixed shape; scripts only fit it
    to the width of the window. Colours come from the page's style sheet, so that
    day, night and print need no second drawing.
    """
    import vl_convert as vlc  # a second to load: only when a page is asked for

    words = picture.words
    # One spoken name for the whole drawing, given by the page: a hundred nameless marks tell less.
    colours = {**config(PAGE), "aria": False, "mark": {"aria": False}}
    spec = {**forecast_spec(picture, titled=False), "padding": PAGE_PADDING}
    static = {**forecast_spec(picture, titled=False), "config": colours}
    style, script = _asset("page.css"), vlc.javascript_bundle(_asset("page.js"), VEGA_LITE)
    script = script.replace("</script", "<\\/script")
    return Template(_asset("page.html")).substitute(
        title=html.escape(words.title),
        description=html.escape(words.description, quote=True),
        style=style,
        style_hash=_hash(style),
        script=script,
        script_hash=_hash(script),
        picture=_inert({"spec": spec, "config": colours}),
        drawing=vlc.vegalite_to_svg(static, vl_version=VEGA_LITE),
        summary=_paragraphs(words.summary),
        emblems=_emblems(words.emblems, words.emblem_guide),
        guide=_paragraphs(words.guide),
        tables="\n".join(_table(table) for table in words.tables),
        records="\n".join(_table(table) for table in words.records if table.rows),
        reasons="\n".join(
            (
                _reasons(words.reasons_title, words.reasons),
                _reasons(words.limits_title, words.limits),
            )
        ),
        cautions=_paragraphs(words.cautions),
    )


def _asset(name: str) -> str:
    return resources.files("watervane.charts").joinpath(name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode()).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"


def _inert(value: object) -> str:
    text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    return text.replace("<", "\\u003c")


def _paragraphs(lines: tuple[str, ...]) -> str:
    return "\n".join(f"<p>{html.escape(line)}</p>" for line in lines)


def _emblems(emblems: tuple[Emblem, ...], guide: str) -> str:
    if not emblems:
        return ""
    parts = []
    for emblem in emblems:
        days = "".join(
            f'<li><span class="day">{html.escape(day.label)}</span>{_marks(day.struck)}'
            f"<span>{html.escape(day.text)}</span></li>"
            for day in emblem.days
        )
        parts.append(f'<h2>{html.escape(emblem.title)}</h2>\n<ol class="emblem">{days}</ol>')
    return "\n".join([*parts, f"<p>{html.escape(guide)}</p>"])


def _marks(struck: int) -> str:
    """Twenty small circles in rows of five, the last ones struck through."""
    drawn = []
    for mark in range(MARKS):
        x, y = 6 + 12 * (mark % 5), 6 + 12 * (mark // 5)
        drawn.append(f'<circle cx="{x}" cy="{y}" r="4"/>')
        if mark >= MARKS - struck:
            drawn.append(f'<path d="M{x - 5} {y + 5}L{x + 5} {y - 5}"/>')
    return f'<svg viewBox="0 0 60 48" aria-hidden="true">{"".join(drawn)}</svg>'


def _reasons(title: str, lines: tuple[str, ...]) -> str:
    if not lines:
        return ""
    items = "\n".join(f"<li>{html.escape(line)}</li>" for line in lines)
    return f"<h2>{html.escape(title)}</h2>\n<ul>\n{items}\n</ul>"


def _cell(text: str) -> str:
    """A cell that breaks, where it must, between words or before its bracket, never in a date."""
    value, bracket, spread = html.escape(text).partition(" (")
    if not any(letter.isdigit() for letter in value):
        return html.escape(text)
    return f"<span>{value}</span>" + (f" <span>({spread}</span>" if bracket else "")


def _table(table: WordTable) -> str:
    head = "".join(f'<th scope="col">{html.escape(cell)}</th>' for cell in table.headers)
    rows = []
    for first, *rest in table.rows:
        cells = "".join(f"<td>{_cell(cell)}</td>" for cell in rest)
        rows.append(f'<tr><th scope="row">{html.escape(first)}</th>{cells}</tr>')
    title = html.escape(table.title)
    lines = "\n".join(rows)
    body = f"<thead><tr>{head}</tr></thead>\n<tbody>\n{lines}\n</tbody>"
    return (
        f"<div><h2>{title}</h2>\n"
        f'<div class="scroll" role="region" tabindex="0" aria-label="{title}">\n'
        f"<table><caption><span>{html.escape(table.caption)}</span></caption>\n{body}</table></div></div>"
    )
