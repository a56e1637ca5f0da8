"""The tables of trouble refuse what does not fit together, and leave no cause or sign idle."""

from __future__ import annotations

import pytest

from watervane.reference.first_aid import aid_tables
from watervane.reference.sources import TableError
from watervane.reference.trouble import (
    read_settings,
    read_shows,
    read_trouble_causes,
    trouble_tables,
)

TABLES = trouble_tables()
END = ",trouble_memory,from memory\n"
HEAD = "cause,sign,chance,source,quality\n"


def test_the_deeds_asked_for_are_those_of_first_aid_and_each_of_its_causes_is_reached() -> None:
    assert TABLES.done == aid_tables().done
    assert {cause.aid for cause in TABLES.causes.values()} | {"ammonium-acid"} == set(
        aid_tables().causes
    )


def test_each_cause_shows_and_each_sign_is_shown() -> None:
    assert all(TABLES.shows[cause] for cause in TABLES.causes)
    shown = {sign for each in TABLES.shows.values() for sign in each}
    assert shown == set(TABLES.signs)


def test_a_cause_weighed_by_water_changes_it_or_is_the_kits_and_the_others_leave_it() -> None:
    for key, cause in TABLES.causes.items():
        assert bool(TABLES.changed[key]) == (cause.weighed == "water") or key == "kit-fault", key


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("ammonia,glowing,0.5", "'glowing' is not known"),
        ("moon,gasping,0.5", "'moon' is not known"),
        ("ammonia,gasping,1.5", "between 0 and 1"),
        ("ammonia,gasping,0", "between 0 and 1"),
    ],
)
def test_rows_that_do_not_fit_are_refused(row: str, told: str) -> None:
    with pytest.raises(TableError, match=r"trouble_causes_signs\.csv:2") as error:
        read_shows(f"{HEAD}{row}{END}", TABLES.causes, TABLES.signs)
    assert told in str(error.value)


def test_a_pair_told_twice_is_refused() -> None:
    row = f"ammonia,gasping,0.5{END}"
    with pytest.raises(TableError, match="comes twice"):
        read_shows(HEAD + row + row, TABLES.causes, TABLES.signs)


def test_answers_that_exclude_each_other_add_to_one() -> None:
    only = {"ammonia": TABLES.causes["ammonia"]}
    head = "cause,question,answer,chance,source,quality\n"
    with pytest.raises(TableError, match="'who' of 'ammonia' is not whole"):
        read_settings(f"{head}ammonia,who,all,0.5{END}", only)


def test_a_cause_belongs_to_one_of_first_aid() -> None:
    head = "id,aid,new,young,grown,old,needs,weighed,source,quality,note\n"
    with pytest.raises(TableError, match="'moon' is not known"):
        read_trouble_causes(f"{head}x,moon,1,1,1,1,,table,house-estimate,guess,\n")
