"""The keeper's own limits and levels of settled: read, refused with a remedy, written back."""

from __future__ import annotations

import pytest
from test_schema import errors_of

from watervane.exchange import TankFileErrors, parse_tank_text, write_tank_file
from watervane.records import AllowedRisk, LimitEdit, SettledLevels
from watervane.wording import finding_line

HEAD = 'format = "watervane-tank/1"\ntank = { name = "A", filled = 2026-03-01 }\n'


def limits(*lines: str) -> str:
    return "\n".join((HEAD, "[limits]", *lines))


@pytest.mark.parametrize(
    ("line", "edit"),
    [
        ('nitrite_acute = "1.64 mg/L as NO2"', ("nitrite_acute", 0.499, "")),
        ('nitrate_comfort = { level = "60 mg/L as NO3", note = "my well" }',
         ("nitrate_comfort", 13.55, "my well")),
        ("ph_acute_above_danio_rerio = 9", ("ph_acute_above_danio_rerio", 9.0, "")),
        ('alkalinity_comfort = "2 dKH"', ("alkalinity_comfort", 0.713, "")),
        ('temperature_change_acute = "3 degC"', ("temperature_change_acute", 3.0, "")),
        ('co2_chronic = "35 mg/L"', ("co2_chronic", 35.0, "")),
    ],
)  # fmt: skip
def test_a_figure_is_read_in_the_unit_of_its_limit(line: str, edit: tuple[str, float, str]) -> None:
    tank = parse_tank_text(limits(line))
    (found,) = tank.limit_edits
    assert (found.limit, found.note) == (edit[0], edit[2])
    assert found.value == pytest.approx(edit[1], rel=2e-3)
    assert errors_of(limits(line)) == []
    assert parse_tank_text(write_tank_file(tank)).limit_edits == (
        LimitEdit(found.limit, pytest.approx(found.value), found.note),
    )


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ('nitrite_acut = "0.5 mg/L as N"', "limit-unknown-near"),
        ("frobnicate_zzz = 1", "limit-unknown"),
        ('nitrite = "0.5 mg/L as N"', "limit-too-wide"),
        ("ph_comfort = 7", "limit-too-wide"),
        ('nitrate_comfort = "50 mg/L"', "limit-basis"),
        ('oxygen_acute = "0 mg/L"', "not-positive"),
        ('oxygen_acute = "3..4 mg/L"', "unit.one-number"),
        ('co2_comfort = { levl = "30 mg/L" }', "unknown-key"),
        ('co2_comfort = { note = "why" }', "missing-key"),
        ("co2_comfort = [1]", "unit.not-text"),
    ],
)
def test_what_cannot_be_a_limit_is_refused_at_its_line(line: str, problem: str) -> None:
    with pytest.raises(TankFileErrors) as told:
        parse_tank_text(limits(line))
    (found,) = told.value.problems
    assert (found.key, found.line) == (problem, 5)
    assert len(finding_line(found)) > 40


def test_levels_of_settled() -> None:
    text = HEAD + '[settled]\nammonia = "0.3 mg/L as N"\n'
    tank = parse_tank_text(text)
    assert tank.settled_levels == SettledLevels(0.3, 0.1)
    assert parse_tank_text(write_tank_file(tank)) == tank
    assert "settled" not in write_tank_file(parse_tank_text(HEAD))
    with pytest.raises(TankFileErrors):
        parse_tank_text(HEAD + '[settled]\nnitrite = "0 mg/L"\n')


def test_accepted_risk_by_tier() -> None:
    text = HEAD + '[risk]\nacute = "0,5 %"\ncomfort = 0.3\n'
    tank = parse_tank_text(text)
    assert tank.allowed_risk == AllowedRisk(acute=0.005, chronic=0.05, comfort=0.3)
    assert errors_of(text) == []
    assert parse_tank_text(write_tank_file(tank)) == tank
    assert "[risk]" not in write_tank_file(parse_tank_text(HEAD))


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("acute = 1", "chance-out"),
        ('acute = "0 %"', "chance-out"),
        ('chronic = "0.05 %"', "chance-out"),
        ('chronic = "100 %"', "chance-out"),
        ("comfort = -0.2", "chance-out"),
        ("comfort = nan", "chance-out"),
        ('comfort = "a little"', "not-chance"),
        ('comfort = "5"', "not-chance"),
        ("comfort = true", "not-chance"),
        ("acut = 0.01", "unknown-key-near"),
    ],
)
def test_what_cannot_be_an_accepted_risk_is_refused_at_its_line(line: str, problem: str) -> None:
    with pytest.raises(TankFileErrors) as told:
        parse_tank_text(HEAD + "[risk]\n" + line)
    (found,) = told.value.problems
    assert (found.key, found.line) == (problem, 4)
    assert len(finding_line(found)) > 40


def test_all_that_is_wrong_with_it_is_told_at_once() -> None:
    with pytest.raises(TankFileErrors) as told:
        parse_tank_text(HEAD + '[risk]\nacute = 1\nchronic = "?"\ncomfort = 0.2\n')
    assert [(each.key, each.line) for each in told.value.problems] == [
        ("chance-out", 4),
        ("not-chance", 5),
    ]
