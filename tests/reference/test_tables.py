"""Shipped tables hold together, and a table that breaks its rules is refused by line."""

from __future__ import annotations

import importlib
import pkgutil

import pytest

import watervane
from watervane.reference import (
    TABLES,
    Row,
    TableError,
    load_table,
    source,
    sourced_functions,
    sources,
    value,
)
from watervane.reference.sources import read_sources
from watervane.reference.tables import COLUMNS, read_rows

HEADER = ",".join(COLUMNS)
GOOD = "wet,share,0.5,0.2,0.9,1,,house-estimate,,guess,"


@pytest.mark.parametrize("name", sorted(TABLES))
def test_every_shipped_table_loads(name: str) -> None:
    rows = load_table(name)
    assert rows
    assert load_table(name) is rows
    for row in rows:
        assert source(row.source).how_read
        assert row.unit


def test_ids_are_found_whatever_their_table() -> None:
    for name in TABLES:
        for row in load_table(name):
            assert value(row.id) is row
    with pytest.raises(KeyError):
        value("no_such_row")


def test_every_mark_in_the_code_names_a_listed_source() -> None:
    for module in pkgutil.walk_packages(watervane.__path__, "watervane."):
        if module.name.split(".")[1] in ("chemistry", "process", "limits", "reference"):
            importlib.import_module(module.name)
    marks = {c.key: name for name, f in sourced_functions().items() for c in f.citations}
    assert {key: name for key, name in marks.items() if key not in sources()} == {}
    assert "emerson1975" in marks


def test_a_guess_is_wide_and_owns_up() -> None:
    for name in TABLES:
        for row in load_table(name):
            assert (row.quality == "guess") <= (row.source == "house-estimate"), row.id
            if row.quality == "guess":
                assert row.low is not None, row.id
                assert row.high is not None, row.id
                assert row.high > row.low, row.id


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("wet,share,0.5,0.2,0.9,,,house-estimate,,guess,", "bad.csv:2: no unit"),
        ("wet,share,0.5,0.2,0.9,1,,,,guess,", "bad.csv:2: no source"),
        (",share,0.5,0.2,0.9,1,,house-estimate,,guess,", "bad.csv:2: no id"),
        ("wet,share,0.5,0.2,0.9,1,,hearsay2020,,guess,", "bad.csv:2: source 'hearsay2020'"),
        ("wet,share,0.5,0.2,0.9,1,,house-estimate,,sure,", "bad.csv:2: quality 'sure'"),
        ("wet,share,half,0.2,0.9,1,,house-estimate,,guess,", "bad.csv:2: value 'half'"),
        ("wet,share,nan,0.2,0.9,1,,house-estimate,,guess,", "bad.csv:2: value 'nan'"),
        ("wet,share,0.5,0.6,0.9,1,,house-estimate,,guess,", "bad.csv:2: value 0.5 is outside"),
        ("wet,share,0.5,0.2,,1,,house-estimate,,guess,", "bad.csv:2: a range needs both"),
        ("wet,share,0.5,0.2,0.9", "bad.csv:2: 5 cells, expected 11"),
        (f"{GOOD}\n{GOOD}", "bad.csv:3: id 'wet' comes twice"),
    ],
)
def test_a_bad_row_is_refused_with_file_and_line(line: str, message: str) -> None:
    with pytest.raises(TableError) as caught:
        list(read_rows(f"{HEADER}\n{line}\n", "bad"))
    assert str(caught.value).startswith(message)


def test_a_good_row_is_read() -> None:
    (row,) = read_rows(f"{HEADER}\n{GOOD}\n", "own")
    assert (row.id, row.value, row.low, row.high, row.line) == ("wet", 0.5, 0.2, 0.9, 2)


@pytest.mark.parametrize(
    "header", [HEADER + ",colour", HEADER.replace(",source", ""), "", HEADER + ",id"]
)
def test_a_wrong_header_is_refused(header: str) -> None:
    with pytest.raises(TableError, match=r"bad\.csv:1: the columns"):
        list(read_rows(header + "\n", "bad"))


def test_no_such_table() -> None:
    with pytest.raises(TableError, match="there is no table 'moods'"):
        load_table("moods")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[a2020]\ntitle='T'\nhow_read='glanced'\n", "s.toml:1: source 'a2020' must say"),
        ("[a2020]\nhow_read='abstract'\n", "s.toml:1: source 'a2020' has no title"),
        (
            "\n[a2020]\ntitle='T'\nhow_read='abstract'\npages=3\n",
            "s.toml:2: source 'a2020' has unk",
        ),
        ("[a2020\n", "s.toml:"),
        ("a = 1\n", "s.toml:1: 'a' is not a source"),
    ],
)
def test_a_bad_sources_file_is_refused(text: str, message: str) -> None:
    with pytest.raises(TableError) as caught:
        read_sources(text, "s.toml")
    assert str(caught.value).startswith(message)


def _row(row_id: str) -> Row:
    row = value(row_id)
    assert row.table == "parameters"
    return row


@pytest.mark.parametrize(
    ("row_id", "median", "spread"),
    [
        ("ammonia_oxidiser_growth_per_d", 0.8, 1.35),
        ("nitrite_oxidiser_growth_per_d", 0.75, 1.45),
        ("ammonia_half_saturation_sludge_mg_n_per_l", 0.6, 2.0),
        ("nitrite_half_saturation_sludge_mg_n_per_l", 1.0, 2.5),
        ("ammonia_half_saturation_mg_n_per_l", 0.2, 2.0),
        # ours lies lower and narrower than the 0.3 and 2.5 suggested: Nitrospira, nowka2015
        ("nitrite_half_saturation_mg_n_per_l", 0.2, 1.73),
        ("ammonia_oxidiser_oxygen_half_saturation_mg_per_l", 0.5, 1.7),
        ("nitrite_oxidiser_oxygen_half_saturation_mg_per_l", 1.1, 1.5),
        ("ammonia_oxidiser_decay_per_d", 0.06, 1.7),
        ("nitrite_oxidiser_decay_per_d", 0.06, 1.7),
        ("nitrite_oxidiser_free_ammonia_inhibition_mg_nh3_per_l", 0.5, 2.2),
    ],
)
def test_lognormal_priors_as_suggested(row_id: str, median: float, spread: float) -> None:
    row = _row(row_id)
    assert row.value == median
    assert row.geometric_sd == pytest.approx(spread, rel=1e-3)
    assert row.extra["distribution"] == "lognormal"


@pytest.mark.parametrize(
    ("row_id", "mean", "spread"),
    [
        ("ammonia_oxidiser_growth_theta", 1.096, 0.012),
        ("nitrite_oxidiser_growth_theta", 1.061, 0.015),
        ("ammonia_oxidiser_yield_g_cod_per_g_n", 0.16, 0.025),
        ("nitrite_oxidiser_yield_g_cod_per_g_n", 0.05, 0.012),
    ],
)
def test_normal_priors_as_suggested(row_id: str, mean: float, spread: float) -> None:
    row = _row(row_id)
    assert row.value == mean
    assert row.sd == pytest.approx(spread, rel=5e-3)
    assert row.extra["distribution"] == "normal"


def test_an_exact_row_has_no_spread() -> None:
    with pytest.raises(ValueError, match="is exact"):
        _ = value("cm_per_inch").geometric_sd


def test_each_rinse_keeps_less_than_the_one_before_and_never_adds() -> None:
    order = ["fresh", "rinse_tank_water", "rinse_tap_water", "dried", "replaced"]
    rows = [value(f"kept_{how}") for how in order]
    assert [r.value for r in rows] == sorted((r.value for r in rows), reverse=True)
    for row in load_table("events"):
        if row.id.startswith("kept_"):
            assert row.low is not None
            assert row.high is not None
            assert 0.0 <= row.low <= row.high <= 1.0
