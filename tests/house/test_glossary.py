"""Every quantity at a boundary stands in glossary.md, with the unit its own name carries."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from glossary import FILE, read_rows, read_terms
from rules import names_with_units, names_without_row, rows_without_name
from source_tree import PACKAGE, parsed, public_fields, python_files
from unit_names import alike, unit_of_bracket, unit_of_name

TEXT = FILE.read_text(encoding="utf-8")
ROWS = read_rows(TEXT)
NUMBER_RANGE = re.compile(r"(-?[\d.]+) to (-?[\d.]+)")
OUR_WORDS = {
    *("tank file", "rounds", "forecast", "verdict", "next step", "headroom", "rehearsal"),
    *("next test", "blueprint", "nitrogen ledger", "colonies", "settled", "ready", "trouble"),
    *("first aid", "lesson"),
}
BY_NAME = {row.name: row for row in ROWS}


def test_no_name_stands_twice() -> None:
    names = [row.name for row in ROWS]
    assert sorted({name for name in names if names.count(name) > 1}) == []


def test_every_row_is_whole() -> None:
    lines = [line for line in TEXT.splitlines() if line.startswith("| `")]
    assert len(ROWS) == len(lines), "a row of a name is | name | meaning | unit | range |"
    assert [row.name for row in ROWS if not row.meaning or not row.unit] == []


def test_a_quantity_has_a_range_with_room() -> None:
    wrong = []
    for row in ROWS:
        if unit_of_name(row.name):
            found = NUMBER_RANGE.fullmatch(row.range)
            if not found or not float(found[1]) < float(found[2]):
                wrong.append(f"glossary.md:{row.line}: `{row.name}` has the range {row.range!r}")
    assert wrong == []


def test_the_words_of_the_design_are_explained() -> None:
    terms = read_terms(TEXT)
    assert sorted(OUR_WORDS - {word for word, meaning in terms.items() if meaning}) == []


def test_quantities_at_boundaries_are_explained() -> None:
    assert len(names_with_units(PACKAGE)) > 50
    assert names_without_row(PACKAGE, BY_NAME) == []


def test_every_field_of_a_record_is_explained() -> None:
    missing = {
        name
        for path in python_files(PACKAGE / "records")
        for name, _, _ in public_fields(parsed(path))
        if name not in BY_NAME
    }
    assert sorted(missing) == []


def test_every_row_is_still_carried_by_the_code() -> None:
    texts = [path.read_text(encoding="utf-8") for path in python_files(PACKAGE)]
    assert rows_without_name(ROWS, texts) == []


def test_a_row_gives_the_unit_its_name_carries() -> None:
    wrong = []
    for row in ROWS:
        carried, told = unit_of_name(row.name), unit_of_bracket(row.unit)
        if carried and told and not alike(carried, told):
            wrong.append(f"glossary.md:{row.line}: `{row.name}` is in {carried}, not {told}")
    assert wrong == []


def test_breaches_are_noticed(tmp_path: Path) -> None:
    (tmp_path / "pump.py").write_text(
        "class Pump:\n    head_cm: float\n\ndef lift(volume_l, hose_mm, count): ...\n"
        "def _private(torque_j): ...\n",
        encoding="utf-8",
    )
    rows = {row.name: row for row in read_rows("| `volume_l` | volume | L | |\n")}
    named = [breach.split("`")[1] for breach in names_without_row(tmp_path, rows)]
    assert sorted(named) == ["head_cm", "hose_mm"]
    assert rows_without_name(rows.values(), ["volume_litres"]) == [
        "glossary.md:1: `volume_l` is gone"
    ]


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("temperature_c", "degC"),
        ("nitrate_mg_n_per_l", "mg/L"),
        ("flow_l_per_h", "L/h"),
        ("conductivity_us_per_cm_25", "uS/cm"),
        ("decay_per_d", "1/d"),
        ("outside_film_w_per_m2_k", "W/K/m2"),
        ("load_mg_n_per_l_d", "mg/d/L"),
        ("g_per_mol", "g/mol"),
        ("light_hours", "h"),
        ("c", None),
        ("read_as_n", None),
        ("length", None),
        ("as_of", None),
    ],
)
def test_a_unit_is_read_off_a_name(name: str, unit: str | None) -> None:
    assert unit_of_name(name) == unit
