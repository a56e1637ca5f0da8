"""What a good tank file becomes."""

from __future__ import annotations

import time
import tomllib
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from sample_files import FULL, assert_well_said, line_of, problems_in

from watervane.exchange import (
    TankFileErrors,
    parse_tank_text,
    read_tank_file,
    read_tank_file_with_remarks,
)
from watervane.records import Dose, Feed, Span, Tank, WaterChange

TOML_TIMES = 15.0  # four to six were measured; the lines of a file are found and checked, too
LISBON = ZoneInfo("Europe/Lisbon")
ROOT = Path(__file__).parents[2]
SHIPPED = sorted([*ROOT.glob("examples/*.toml"), *ROOT.glob("src/watervane/cli/demo_data/*.toml")])


def minimal(log: str = "", tank: str = 'volume = "54 L"') -> str:
    head = 'format = "watervane-tank/1"\n[tank]\nname = "A"\nfilled = 2026-03-01\n'
    return f"{head}{tank}\n{log}"


def test_the_full_example_becomes_the_records_it_describes() -> None:
    tank = parse_tank_text(FULL)
    assert (tank.name, tank.filled) == ("Reading room", date(2026, 3, 1))
    assert tank.shape is not None
    assert (tank.shape.length_cm, tank.shape.measured, tank.shape.glass_mm) == (60, "outside", 6)
    assert tank.filter is not None
    assert (tank.filter.media[0].kind, tank.filter.media[0].volume_l) == ("sponge", 0.6)
    assert (tank.heater_power_w, tank.heater_set_point_c) == (75, 25)
    assert (tank.air_flow_l_per_h, tank.light_hours, tank.room_temperature_c) == (60, 8, 20)
    assert tank.altitude_m == 300
    assert tank.source_water.nitrate_mg_n_per_l == pytest.approx(5 / 4.42680, rel=1e-4)
    assert tank.source_water.chlorine_mg_per_l is None
    assert tank.kits["drop"].scales[0].steps == (0, 0.3, 0.7, 1.5, 3, 6)
    assert [type(e) for e in tank.events[:1]] == [Dose]
    assert tank.events[0].at == datetime(2026, 3, 1, 11, tzinfo=LISBON)
    assert tank.readings[0].value.basis == "n"
    assert tank.readings[0].kit == "drop"


def test_every_entry_knows_its_line() -> None:
    tank = parse_tank_text(FULL)
    assert tank.readings[0].line == line_of(FULL, "[[reading]]")
    change = tank.events[-1]
    assert change.line == line_of(FULL, "at = 2026-03-12") - 1


def test_a_keepers_own_weighing_replaces_the_pinch() -> None:
    tank = parse_tank_text(FULL)
    feed = tank.habits[0].template
    assert isinstance(feed, Feed)
    assert feed.mass_g == Span(0.03, 0.03)
    assert feed.raw == "1 pinch"
    assert tank.normal_food_g_per_d == Span(0.03, 0.03)


def test_a_volume_a_fill_date_and_a_pinch_a_day_are_enough() -> None:
    tank = parse_tank_text(
        minimal('[[event]]\nevery = "1 d"\nfrom = 2026-03-02\nkind = "feed"\namount = "a pinch"')
    )
    assert tank.volume_l == 54
    assert tank.habits[0].every_days == 1


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.name)
def test_shipped_examples_are_in_order(path: Path) -> None:
    tank, remarks = read_tank_file_with_remarks(path)
    assert isinstance(tank, Tank)
    for remark in remarks:
        assert_well_said(remark)


def test_a_date_alone_means_an_unknown_hour_and_stands_at_noon() -> None:
    change = parse_tank_text(FULL).events[-1]
    assert isinstance(change, WaterChange)
    assert (change.at, change.hour_known) == (datetime(2026, 3, 12, 12, tzinfo=LISBON), False)


def test_a_time_with_offset_is_put_on_the_keepers_clock() -> None:
    text = FULL.replace("2026-03-10T19:00:00", "2026-03-10T19:00:00+05:00")
    reading = parse_tank_text(text).readings[0]
    assert reading.at.hour == 14
    assert reading.at.tzinfo == LISBON


def test_an_hour_the_clock_shows_twice_is_the_first_with_a_remark(tmp_path: Path) -> None:
    file = tmp_path / "a.tank.toml"
    file.write_text(FULL.replace("2026-03-10T19:00:00", "2026-10-25T01:30:00"), "utf-8")
    tank, remarks = read_tank_file_with_remarks(file)
    assert tank.readings[0].at.utcoffset() == datetime(2026, 7, 1, tzinfo=LISBON).utcoffset()
    assert [r.key for r in remarks] == ["clock-twice"]
    assert remarks[0].line == line_of(FULL, "at = 2026-03-10")


def test_a_habit_takes_the_time_of_day() -> None:
    text = minimal(
        '[[event]]\nevery = "1 week"\nfrom = 2026-03-07\nuntil = 2026-05-30\nat = 10:30:00\n'
        'kind = "water-change"\nfraction = 0.2'
    )
    habit = parse_tank_text(text).habits[0]
    assert habit.every_days == 7
    assert habit.until == date(2026, 5, 30)
    assert habit.template.at.hour == 10
    assert habit.template.hour_known


def test_a_water_change_in_litres_becomes_a_fraction() -> None:
    text = minimal('[[event]]\nat = 2026-03-09\nkind = "water-change"\nvolume = "13.5 L"')
    change = parse_tank_text(text).events[0]
    assert isinstance(change, WaterChange)
    assert change.fraction == pytest.approx(0.25)


def test_drops_of_a_solution_are_a_range_of_grams() -> None:
    log = '[[event]]\nat = 2026-03-02\nkind = "dose"\nsubstance = "ammonia solution 10 %"\n'
    dose = parse_tank_text(minimal(f'{log}amount = "20 drops"')).events[0]
    assert isinstance(dose, Dose)
    assert dose.substance == "ammonia solution 10 %"
    assert dose.mass_g is not None
    assert (dose.mass_g.low, dose.mass_g.high) == (pytest.approx(0.6), pytest.approx(1.4))


def test_tap_water_may_be_tested_before_the_tank_is_filled() -> None:
    reading = '[[reading]]\nat = 2026-02-20\nquantity = "ph"\nvalue = 7.9\nof = "source water"'
    tank = parse_tank_text(minimal(reading))
    assert tank.readings[0].of_source_water


def test_a_byte_order_mark_and_windows_line_ends_are_fine(tmp_path: Path) -> None:
    file = tmp_path / "a.tank.toml"
    file.write_bytes(b"\xef\xbb\xbf" + FULL.replace("\n", "\r\n").encode())
    tank = read_tank_file(file)
    assert tank == parse_tank_text(FULL)
    assert file.read_bytes().startswith(b"\xef\xbb\xbf")


def test_lines_are_right_with_windows_line_ends() -> None:
    text = FULL.replace('kit = "drop"', 'kit = "drip"')
    (problem,) = problems_in(text.replace("\n", "\r\n"))
    assert problem.line == line_of(text, 'kit = "drip"')


def test_ten_thousand_readings_take_a_few_times_what_plain_toml_takes() -> None:
    rows = "\n".join(
        f"[[reading]]\nat = 2026-04-{1 + i % 28:02d}T{i % 24:02d}:{i % 60:02d}:00\n"
        f'quantity = "ammonia"\nvalue = "0.{i % 9} mg/L as N"'
        for i in range(10_000)
    )
    text = minimal(rows)
    start = time.process_time()
    tomllib.loads(text)
    plain = time.process_time()
    tank = parse_tank_text(text)
    times = (time.process_time() - plain) / (plain - start)
    print(f"10,000 readings: {times:.1f} times plain TOML")
    assert len(tank.readings) == 10_000
    assert tank.readings[-1].line == 5 + 4 * 9_999 + 1
    assert times < TOML_TIMES


def test_ten_thousand_wrong_readings_are_all_reported() -> None:
    rows = "\n".join(
        '[[reading]]\nat = 2026-04-01\nquantity = "ammonia"\nvalue = "x"' for _ in range(10_000)
    )
    with pytest.raises(TankFileErrors) as caught:
        parse_tank_text(minimal(rows))
    assert len(caught.value.problems) == 10_000
