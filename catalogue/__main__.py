"""The command: merge the reviews, write the shipped table and the pages about tables."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from catalogue.foods_page import foods_page
from catalogue.making import made
from catalogue.merging import table_text
from catalogue.page import page

ROOT = Path(__file__).resolve().parents[1]
TABLE = ROOT / "src" / "watervane" / "reference" / "data" / "catalogue.csv"
PAGE = ROOT / "docs" / "catalogue.md"
FOODS = ROOT / "docs" / "foods.md"


def main() -> None:
    """Read the reviews, merge, write."""
    argparse.ArgumentParser(prog="python -m catalogue", description=__doc__).parse_args()
    found = made()
    TABLE.write_text(table_text(found.rows), encoding="utf-8")
    PAGE.write_text(page(found), encoding="utf-8")
    FOODS.write_text(foods_page(), encoding="utf-8")
    sys.stderr.write(f"wrote {TABLE.name}, docs/{PAGE.name} and docs/{FOODS.name}\n")


if __name__ == "__main__":
    main()
