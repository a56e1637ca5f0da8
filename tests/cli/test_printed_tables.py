"""Tables fit the terminal, in as few parts as can be, and every cell is still there."""

from __future__ import annotations

import pytest

from watervane.charts import WordTable
from watervane.cli.printing import table_lines

WIDE = WordTable(
    "Work",
    "",
    ("What", "Min.", "At once", "Over time", "Discomfort"),
    (
        ("50 % a day and no food 2 days", "169", "18 of 20", "19 of 20", ">19 of 20"),
        ("as planned", "0", "none", "none", "all"),
    ),
)


@pytest.mark.parametrize(("columns", "parts"), [(36, 2), (40, 2), (60, 1), (80, 1)])
def test_a_wide_table_comes_in_as_few_parts_as_can_be(columns: int, parts: int) -> None:
    lines = table_lines(WIDE, columns)
    assert max(map(len, lines)) <= columns
    assert sum(line.startswith("What") for line in lines) == parts
    text = " ".join(" ".join(lines).split())
    for word in ("169", "18 of 20", ">19 of 20", "Discomfort", "planned"):
        assert word in text


def test_a_table_that_fits_is_left_as_it_is() -> None:
    assert "50 % a day and no food 2 days" in table_lines(WIDE, 80)[3]


@pytest.mark.parametrize("columns", [30, 40, 50])
def test_no_word_of_a_wrapped_cell_is_lost(columns: int) -> None:
    one = WordTable(
        "", "", ("what", "as planned"), (("nitrite over 2 mg N/L (harm at once)", "all"),)
    )
    words = " ".join(table_lines(one, columns)).split()
    assert {"nitrite", "over", "2", "mg", "N/L", "(harm", "at", "once)"} <= set(words)
