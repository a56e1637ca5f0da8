"""Printed sheets: strings and numbers in, PDF out. It knows no tank and no words of its own."""

from watervane.report.sheet import (
    Block,
    Columns,
    Drawing,
    Heading,
    Items,
    Paragraph,
    Sheet,
    Steps,
    Table,
)
from watervane.report.still import Fold, StillPage, still_page
from watervane.report.typeset import sheet_pdf

__all__ = [
    "Block",
    "Columns",
    "Drawing",
    "Fold",
    "Heading",
    "Items",
    "Paragraph",
    "Sheet",
    "Steps",
    "StillPage",
    "Table",
    "sheet_pdf",
    "still_page",
]
