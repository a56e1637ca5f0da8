"""Sheets: texts are set as they are, with our own letters, the same each time."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from watervane import report
from watervane.report import (
    Columns,
    Drawing,
    Fold,
    Heading,
    Items,
    Paragraph,
    Sheet,
    Steps,
    StillPage,
    Table,
    sheet_pdf,
    still_page,
)

# What Typst would run, include, or choke on, were it read as markup.
MARKUP = (
    '#import "x.typ"',
    "#sys.inputs",
    "$x^2$ _a_ *b* `c` [d] {e} \\ @f <g> // h",
    "*/ ```",
    "1e9999 \u202e\u0000",
    "</script><b>&amp;",
)
FONTS = Path(report.__file__).parent / "fonts"


def asked(program: str, *arguments: str) -> str:
    found = shutil.which(program)
    assert found is not None, program
    done = subprocess.run((found, *arguments), capture_output=True, text=True, check=True)
    return done.stdout


def text_of(pdf: bytes, folder: Path) -> str:
    file = folder / "sheet.pdf"
    file.write_bytes(pdf)
    return asked("pdftotext", "-layout", str(file), "-")


def every_block(text: str = "Told") -> tuple[report.Block, ...]:
    square = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M1 1h7v7z"/></svg>'
    return (
        Heading(text),
        Paragraph(text),
        Paragraph(text, "strong"),
        Paragraph(text, "faint"),
        Steps((text, text), first=3),
        Items((text,)),
        Items((text,), boxes=True),
        Table(text, ("A", "B"), ((text, "2"), ("3", "4"))),
        Drawing(square, text, 3.0),
        Columns(((Paragraph(text),), (Items((text,)),))),
    )


def test_every_kind_of_block_is_set(tmp_path: Path) -> None:
    told = text_of(sheet_pdf(Sheet("Title", "Lead", every_block(), "Foot")), tmp_path)
    assert told.count("Told") == 12
    for word in ("Title", "Lead", "Foot", "3", "4"):
        assert word in told


@pytest.mark.parametrize("text", MARKUP)
def test_what_looks_like_markup_is_letters(text: str, tmp_path: Path) -> None:
    told = text_of(sheet_pdf(Sheet(text, text, every_block(text), text)), tmp_path)
    plain = re.sub(r"[^!-~]", "", text)
    assert plain in re.sub(r"[^!-~]", "", told)


def test_the_letters_are_those_of_the_package(tmp_path: Path) -> None:
    file = tmp_path / "sheet.pdf"
    file.write_bytes(sheet_pdf(Sheet("Title", "Lead", every_block())))
    listed = asked("pdffonts", str(file)).splitlines()[2:]
    fonts = [line.split()[0].split("+")[-1] for line in listed]
    assert fonts
    assert all(font.startswith("SourceSansPro-") for font in fonts)


def test_a_sheet_of_the_same_words_is_the_same_file() -> None:
    sheet = Sheet("Title", "Lead", every_block())
    assert sheet_pdf(sheet) == sheet_pdf(sheet)


def test_a_long_sheet_has_pages_with_numbers(tmp_path: Path) -> None:
    told = text_of(sheet_pdf(Sheet("T", "", [Paragraph("Line " * 40)] * 60)), tmp_path)
    assert re.search(r"1\s*/\s*3", told)


def test_the_fonts_come_with_their_licence() -> None:
    assert {path.suffix for path in FONTS.iterdir()} == {".otf", ".txt"}
    licence = (FONTS / "LICENSE.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert all(path.read_bytes()[:4] == b"OTTO" for path in FONTS.glob("*.otf"))


def test_a_still_page_holds_what_it_is_given_and_lets_nothing_in() -> None:
    inner = Fold("Inner <b>", every_block("</script><img src=x>"))
    page = StillPage("T & t", "Lead", "Which?", (Fold("Outer", (), "And?", (inner,)),))
    html = still_page(page)
    assert "<img src=x>" not in html
    assert "&lt;/script&gt;" in html
    assert "Inner &lt;b&gt;" in html
    assert "<script" not in html
    assert html.count("<details>") == html.count("</details>") == 2
    policy = re.search(r'Policy" content="([^"]*)"', html)
    assert policy is not None
    assert policy[1].startswith("default-src 'none'; style-src 'sha256-")
    assert not re.search(r'(?:src|href)="(?!data:)', html)
