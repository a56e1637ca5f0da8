"""No formula of chemistry that names a source goes without a published row or a written reason."""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import CodeType, FrameType

from chemistry_quantities import QUANTITIES
from test_published_chemistry import ROWS, _inputs

from watervane.reference import sourced_functions

UNCHECKED = Path(__file__).parent / "chemistry_unchecked.csv"
PREFIX = "watervane.chemistry."


@contextmanager
def _calls() -> Iterator[set[CodeType]]:
    seen: set[CodeType] = set()

    def watch(frame: FrameType, event: str, _: object) -> None:
        if event == "call":
            seen.add(frame.f_code)

    before = sys.getprofile()
    sys.setprofile(watch)
    try:
        yield seen
    finally:
        sys.setprofile(before)


def test_every_sourced_formula_is_checked_or_excused() -> None:
    with _calls() as seen:
        for _, row in ROWS:
            if row["status"] == "agrees":
                QUANTITIES[row["quantity"]](**_inputs(row["inputs"]))
    formulas = {
        name.removeprefix(PREFIX): entry.function
        for name, entry in sourced_functions().items()
        if name.startswith(PREFIX)
    }
    unreached = {name for name, call in formulas.items() if call.__code__ not in seen}
    with UNCHECKED.open(newline="", encoding="utf-8") as handle:
        excused = {row["formula"]: row["reason"] for row in csv.DictReader(handle)}
    assert unreached == set(excused)
    assert all(excused.values())
