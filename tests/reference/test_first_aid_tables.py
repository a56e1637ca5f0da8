"""The tables of first aid refuse what does not fit together, with file and line."""

from __future__ import annotations

import pytest

from watervane.reference.first_aid import aid_tables, read_acts, read_causes, read_effects
from watervane.reference.sources import TableError

TABLES = aid_tables()
HEAD = "act,cause,effect,share,unless,when,reason,source,quality\n"
END = "first_aid_memory,from memory\n"


def test_a_row_for_every_cause_stands_for_those_not_named() -> None:
    acts = {"air": TABLES.acts["air"]}
    rows = f"air,*,harmless,,,,why,{END}air,co2,helps,0.5,,,why,{END}"
    found = read_effects(HEAD + rows, acts, TABLES.causes)
    assert found["air", "co2"].share == 0.5
    assert found["air", "hot"].effect == "harmless"


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("air,*,cures,,,,why,", "'cures' is not known"),
        ("air,moon,helps,0.5,,,why,", "'moon' is not known"),
        ("wind,*,helps,0.5,,,why,", "'wind' is not known"),
        ("air,*,helps,1.5,,,why,", "between 0 and 1"),
        ("air,*,harmless,,,,,", "each row has a reason"),
        ("air,*,harms,,bind,later,why,", "'later' is not known"),
        ("air,co2,helps,0.5,,,why,", "nothing is told of ['air']"),
    ],
)
def test_rows_that_do_not_fit_are_refused(row: str, told: str) -> None:
    acts = {key: TABLES.acts[key] for key in ("air", "bind")}
    known = f"bind,*,harmless,,,,why,{END}"
    with pytest.raises(TableError) as error:
        read_effects(f"{HEAD}{known}{row}{END}", acts, TABLES.causes)
    assert told in str(error.value)


def test_a_pair_told_twice_is_refused() -> None:
    row = f"air,*,harmless,,,,why,{END}"
    with pytest.raises(TableError, match="comes twice"):
        read_effects(HEAD + row + row, TABLES.acts, TABLES.causes)


def test_acts_and_causes_are_checked() -> None:
    head = "id,minutes,kind,instead_of,source,quality,note\n"
    with pytest.raises(TableError, match="to do or to leave"):
        read_acts(f"{head}air,1,perhaps,,house-estimate,guess,\n")
    head = "id,prior,hours,only_after,excluded_by,source,quality,note\n"
    with pytest.raises(TableError, match="no test and level"):
        read_causes(f"{head}hot,1,2,,warmth,house-estimate,guess,\n")
