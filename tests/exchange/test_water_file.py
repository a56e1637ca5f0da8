"""A water report from a file: as TOML, as CSV, and what is wrong with one, line by line."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from watervane.exchange.problems import TankFileErrors
from watervane.exchange.water_file import read_water_file
from watervane.exchange.water_words import read_water_words

TOML = """name = "Our supplier, 2025"
[water]
calcium = 82
Mg = "18.7 mg/L"
sodium = "< 10 mg/L"
nitrate = "30 mg/L"
"total hardness" = "15.8 dGH"
ph = 7.4
"""
CSV = """quantity;value;unit
Ca;82;mg/L
Mg;18,7;mg/L
sodium;< 10;mg/L
NO3;30;mg/L
total hardness;15.8;dGH
pH;7.4;
"""


@pytest.mark.parametrize(("name", "text"), [("a.toml", TOML), ("a.csv", CSV), ("a.txt", CSV)])
def test_a_report_is_read_whichever_way_it_is_written(tmp_path: Path, name: str, text: str) -> None:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8-sig")
    report = read_water_words({"from": str(file)}).report
    assert report.calcium_mg_per_l == 82
    assert report.magnesium_mg_per_l == pytest.approx(18.7)
    assert report.sodium_mg_per_l == 5  # half of what it is under
    assert report.nitrate_mg_n_per_l == pytest.approx(30 / 4.4268, rel=1e-3)
    assert report.gh_dgh == pytest.approx(15.8)
    assert report.ph == pytest.approx(7.4)


def test_what_is_typed_counts_before_the_file(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    file.write_text(TOML, encoding="utf-8")
    told = read_water_words({"from": str(file), "tap": ("calcium 60 mg/L", "kh 5 dKH")}).report
    assert (told.calcium_mg_per_l, told.kh_dkh) == (60, 5)


@pytest.mark.parametrize(
    ("name", "text", "key", "line"),
    [
        ("a.toml", 'calcium = 82\nsulfite = "3 mg/L"\n', "water-words", 2),
        ("a.toml", 'calcium = "much"\n', "water-level", 1),
        ("a.toml", "calcium = \n", "water-file-toml", None),
        ("a.toml", "", "water-file-empty", None),
        ("a.toml", "[water]\n[water.calcium]\nvalue = 3\n", "water-level", None),
        ("a.csv", "quantity,value,unit\nCa,82,mg/L\nkh,5,stone\n", "blueprint-words", 3),
        ("a.csv", "Calcium,82\n", "water-file-columns", 1),
        ("a.csv", "quantity,value\n", "water-file-empty", None),
        ("a.csv", "", "water-file-columns", 1),
        ("none.csv", None, "water-file-unread", None),
    ],
)
def test_what_is_wrong_is_told_with_its_line(
    tmp_path: Path, name: str, text: str | None, key: str, line: int | None
) -> None:
    file = tmp_path / name
    if text is not None:
        file.write_text(text, encoding="utf-8")
    with pytest.raises(TankFileErrors) as told:
        read_water_words({"from": str(file)})
    (problem,) = told.value.problems
    assert problem.key == key
    if line is not None:
        assert problem.line == line


def test_bytes_that_are_no_text_and_too_many_are_refused(tmp_path: Path) -> None:
    for data in (b"\xff\xfe\x00calcium", b"calcium = 1\n" * 20_000):
        (tmp_path / "a.toml").write_bytes(data)
        with pytest.raises(TankFileErrors) as told:
            read_water_file(tmp_path / "a.toml")
        assert [each.key for each in told.value.problems] == ["water-file-no-text"]


@given(text=st.text(max_size=200), ending=st.sampled_from(["toml", "csv"]))
def test_any_text_is_read_or_refused(
    tmp_path_factory: pytest.TempPathFactory, text: str, ending: str
) -> None:
    file = tmp_path_factory.getbasetemp() / f"odd.{ending}"
    file.write_bytes(text.encode("utf-8", "surrogatepass"))
    try:
        read_water_words({"from": str(file)})
    except TankFileErrors as error:
        assert error.problems
