"""Ledger and colonies in words: sums that add up, every line named, every key said."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_inside import sample_colonies, sample_ledger

from watervane.records import LedgerStretch
from watervane.records.colonies import COLONIES, HABITATS, WHOLE
from watervane.records.ledger import STRETCHES
from watervane.wording.amounts import milligrams
from watervane.wording.colonies import colonies_sentences, colonies_table
from watervane.wording.ledger import SIDES, cell, ledger_sentences, ledger_table, line_name
from watervane.wording.templates import templates


def test_every_line_and_every_stretch_has_its_words() -> None:
    for side, lines in SIDES.items():
        assert all(not line_name(side, line).startswith("Ledger") for line in lines)
    known = templates()
    for key in STRETCHES:
        assert {f"ledger-{what}-{key}" for what in ("span", "head", "said")} <= known.keys()
    for name in COLONIES:
        assert {f"colonies-name-{name}", f"colonies-Name-{name}"} <= known.keys()
    assert {f"colonies-habitat-{each}" for each in (*HABITATS, WHOLE)} <= known.keys()


def test_printed_totals_add_up() -> None:
    rows = {row[0]: row[1:] for row in ledger_table(sample_ledger()).rows}
    for stretch in range(2):
        began, came, went, held = (
            float(rows[name][stretch])
            for name in ("At the beginning", "Came in", "Went out", "At the end")
        )
        assert began + came == pytest.approx(went + held, abs=1.0)


def test_lines_of_nothing_are_left_out_of_the_table() -> None:
    names = [row[0] for row in ledger_table(sample_ledger()).rows]
    assert "bacteria and plants" not in names
    assert "zeolite" not in names
    assert "water drained" in names


@pytest.mark.parametrize("key", STRETCHES)
def test_each_stretch_is_one_sentence(key: str) -> None:
    ledger = sample_ledger()
    one: LedgerStretch = replace(ledger.stretches[0], key=key)
    said = ledger_sentences(replace(ledger, stretches=(one,)))[0]
    assert said.endswith(".")
    assert "510 mg" in said
    assert "150 mg" in said
    assert "{" not in said


def test_a_number_that_is_the_same_for_all_needs_no_range() -> None:
    line = sample_ledger().stretches[0].came["food"]
    assert cell(line) == "243 (146\N{EN DASH}364)"
    same = replace(line.spread_mg_n, p05=243.0, p95=243.0)
    assert cell(replace(line, spread_mg_n=same)) == "243"


@pytest.mark.parametrize(
    ("amount", "said"),
    [(0.0, "0"), (0.04, "0"), (0.06, "0.1"), (9.94, "9.9"), (9.96, "10"), (1234.0, "1,234")],
)
def test_milligrams_are_whole_where_there_are_many(amount: float, said: str) -> None:
    assert milligrams(amount) == said


@pytest.mark.parametrize(
    ("ammonia", "nitrite", "begins"),
    [
        (0.99, 0.95, "Both colonies"),
        (0.99, 0.10, "The ammonia eaters carry"),
        (0.10, 0.99, "The nitrite eaters carry"),
        (0.30, 0.10, "Neither colony"),
    ],
)
def test_the_first_sentence_says_who_carries_the_load(
    ammonia: float, nitrite: float, begins: str
) -> None:
    told = sample_colonies()
    guilds = {
        name: replace(told.guilds[name], chance_enough=chance)
        for name, chance in (("ammonia", ammonia), ("nitrite", nitrite))
    }
    assert colonies_sentences(replace(told, guilds=guilds))[0].startswith(begins)


def test_sleeping_cells_are_told_of() -> None:
    told = sample_colonies()
    asleep = replace(told.guilds["ammonia"].awake, p50=0.4)
    sleepy = {**told.guilds, "ammonia": replace(told.guilds["ammonia"], awake=asleep)}
    assert any(
        "60 % of them sleep" in one for one in colonies_sentences(replace(told, guilds=sleepy))
    )
    assert not any("sleep" in one for one in colonies_sentences(told))


def test_the_table_of_colonies_has_a_row_a_habitat_and_one_for_all() -> None:
    table = colonies_table(sample_colonies())
    assert len(table.rows) == 8
    assert all(len(row) == len(table.headers) for row in table.rows)
    assert "0.20 mg N/L" in table.caption


def test_an_empty_tank_is_not_told_of_filters_it_need_not_spare() -> None:
    told = sample_colonies()
    none = replace(told.guilds["ammonia"].parts[WHOLE].load, p05=0.0, p50=0.0, p95=0.02)
    guilds = {
        name: replace(
            colony,
            parts={**colony.parts, WHOLE: replace(colony.parts[WHOLE], load=none, capacity=none)},
        )
        for name, colony in told.guilds.items()
    }
    said = " ".join(colonies_sentences(replace(told, guilds=guilds)))
    assert said.startswith("Nothing is offered")
    assert "hardly any nitrite eaters yet" in said
    assert "filter" not in said
