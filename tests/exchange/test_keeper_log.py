"""Logs kept as a table with a header, invented ones in the usual shape."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest
from sample_files import DATA, assert_well_said

from watervane.exchange import (
    TankFileErrors,
    looks_like_log,
    parse_tank_text,
    read_keeper_log,
    write_tank_file,
)
from watervane.records import (
    AnimalsIn,
    Dose,
    Feed,
    Finding,
    Note,
    Reading,
    Seed,
    Tank,
    WaterChange,
)

LOG, HEADER = DATA / "pantry-shelf.csv", DATA / "pantry-shelf.toml"
NH4, NO2 = 1.28785, 3.28454


@pytest.fixture(scope="module")
def log() -> tuple[Tank, tuple[Finding, ...]]:
    return read_keeper_log(LOG, HEADER)


def readings(tank: Tank, quantity: str) -> list[Reading]:
    return [r for r in tank.readings if r.quantity == quantity]


def events(tank: Tank, kind: type) -> list:
    return [e for e in tank.events if isinstance(e, kind)]


def test_days_without_dates_are_counted_from_an_invented_one_and_that_is_said(log) -> None:
    tank, findings = log
    assert tank.filled == date(2001, 1, 1)
    assert readings(tank, "ammonia")[0].at.date() == date(2001, 1, 2)
    assert "log-dates-invented" in {f.key for f in findings}
    assert not any(r.hour_known for r in tank.readings)


def test_the_header_tells_size_warmth_bed_and_tap_water(log) -> None:
    tank, _ = log
    assert tank.volume_l == 80
    assert tank.heater_set_point_c == 25
    assert tank.bed is not None
    assert tank.bed.material == "coral sand"
    assert tank.source_water.ph == 7.9
    assert "doubts: invented" in tank.notes


def test_bases_stated_presumed_and_as_n_are_kept_apart(log) -> None:
    tank, _ = log
    first, stated, as_n = readings(tank, "ammonia")
    assert (first.value.basis, first.value.low) == ("unknown", pytest.approx(4 / NH4, rel=1e-4))
    assert (stated.value.kind, stated.value.basis) == ("range", "ion")
    assert (as_n.value.basis, as_n.value.low) == ("n", 4)
    (nitrate,) = readings(tank, "nitrate")
    assert (nitrate.value.kind, nitrate.value.basis, nitrate.value.low) == ("about", "n", 1.5)


def test_hardness_and_temperature_carry_their_units_in_their_names(log) -> None:
    tank, _ = log
    assert readings(tank, "kh")[0].value.low == pytest.approx(90 / 17.848, rel=1e-3)
    assert readings(tank, "gh")[0].value.low == 8
    assert readings(tank, "temperature")[0].value.low == pytest.approx(25)


def test_tap_water_is_not_taken_for_tank_water(log) -> None:
    tank, _ = log
    assert readings(tank, "ph")[0].of_source_water


def test_nitrite_at_the_end_of_a_usual_chart_is_a_lower_bound(log) -> None:
    tank, findings = log
    values = {r.line: r.value for r in readings(tank, "nitrite")}
    assert (values[13].kind, values[13].high) == ("above", None)
    assert values[13].low == pytest.approx(5 / NO2, rel=1e-4)
    assert values[15].kind == "below"
    assert [f.arguments["count"] for f in findings if f.key == "log-nitrite-at-top"] == [1]


def test_doses_tell_level_or_drops_of_the_headers_solution(log) -> None:
    tank, _ = log
    level, drops = events(tank, Dose)
    assert level.target_mg_n_per_l == pytest.approx(4 / NH4, rel=1e-4)
    assert level.substance == drops.substance == "ammonia solution 5 %"
    assert drops.mass_g.low == pytest.approx(0.36)


def test_water_changes_in_per_cent_and_litres_become_fractions(log) -> None:
    tank, _ = log
    assert [c.fraction for c in events(tank, WaterChange)] == [0.25, 0.2]


def test_food_fish_and_seeding_become_events(log) -> None:
    tank, _ = log
    (meal,) = events(tank, Feed)
    assert meal.mass_g.low > 0
    (fish,) = events(tank, AnimalsIn)
    assert (fish.species, fish.count) == ("Danio rerio", 4)
    by_header, by_row = events(tank, Seed)
    assert (by_header.source, by_header.at.date()) == ("bed", date(2001, 1, 3))
    assert (by_row.source, by_row.at.date()) == ("bed", date(2001, 1, 10))


def test_nothing_is_lost_what_cannot_be_read_is_a_note_and_is_said(log) -> None:
    tank, findings = log
    notes = [note.text for note in events(tank, Note)]
    assert "water_change: unknown size" in notes
    assert "dose_food: unknown amount" in notes
    assert "nitrite: strip red strip colour" in notes
    assert [n for n in notes if n.startswith("redox")] == ["redox: 210 mV", "redox: 220 mV"]
    kinds = [f.key for f in findings]
    assert kinds.count("log-size-unknown") == 2
    assert [f.arguments["count"] for f in findings if f.key == "log-kept-as-note"] == [2]
    assert kinds.count("log-stray-bound") == 1
    lines = {entry.line for entry in (*tank.readings, *tank.events)} - {None}
    assert lines == set(range(2, 26))


def test_the_order_of_a_day_is_kept(log) -> None:
    tank, _ = log
    before, after = readings(tank, "ammonia")[1:]
    dose = events(tank, Dose)[1]
    assert before.at < dose.at < after.at
    assert before.at.date() == after.at.date()


def test_every_finding_has_its_sentence(log) -> None:
    for finding in log[1]:
        assert_well_said(finding)


def test_a_log_can_be_kept_on_as_a_tank_file(log) -> None:
    tank, _ = log
    again = parse_tank_text(write_tank_file(tank))
    assert [r.value.low for r in again.readings] == [r.value.low for r in tank.readings]
    assert [type(e) for e in again.events] == [type(e) for e in tank.events]


def spoilt(folder: Path, *, table: str | None = None, header: str | None = None) -> Path:
    """A copy of the log with one or both files replaced."""
    shutil.copy(LOG, folder / "a.csv")
    shutil.copy(HEADER, folder / "a.toml")
    if table is not None:
        (folder / "a.csv").write_text(table, "utf-8")
    if header is not None:
        (folder / "a.toml").write_text(header, "utf-8")
    return folder / "a.csv"


def read(path: Path) -> tuple[Tank, tuple[Finding, ...]]:
    return read_keeper_log(path, path.with_suffix(".toml"))


def test_dates_of_the_log_are_used_where_there_are_any(tmp_path: Path) -> None:
    table = LOG.read_text("utf-8").replace("3,1,,ammonia", "3,1,2019-05-02,ammonia")
    tank, findings = read(spoilt(tmp_path, table=table))
    assert tank.filled == date(2019, 5, 1)
    assert "log-dates-invented" not in {f.key for f in findings}


def test_an_unknown_volume_stays_unknown_and_is_said(tmp_path: Path) -> None:
    header = HEADER.read_text("utf-8").replace("80.0", "nan")
    tank, findings = read(spoilt(tmp_path, header=header))
    assert tank.volume_l is None
    assert "log-volume-unknown" in {f.key for f in findings}
    assert [c.fraction for c in events(tank, WaterChange)] == [0.25]


HEAD = "day,date,quantity,value,qualifier,unit,basis\n"


@pytest.mark.parametrize(
    ("table", "key", "line"),
    [
        ("day,what\n1,x\n", "log-columns", 1),
        ("quantity,value\nph,7\n", "log-columns", 1),
        (HEAD, "log-empty", None),
        (HEAD + "x,,ph,7,=,,\n", "log-day", 2),
        (HEAD + "nan,,ph,7,=,,\n", "log-day", 2),
        (HEAD + "1e9,,ph,7,=,,\n", "log-day", 2),
        (HEAD + "1,2019-02-30,ph,7,=,,\n", "log-date", 2),
        (HEAD + ",,ph,7,=,,\n", "log-no-day", 2),
        (HEAD + "1,,ph,7,=,,\n2,,ph,17,=,,\n", "unit.out-of-range", 3),
        (HEAD + "1,,ammonia,-1,=,ppm,\n", "unit.negative", 2),
        (HEAD + "1,,ammonia,1,=,barrels,\n", "unit.unknown", 2),
        (HEAD + "1,,dose_ammonia_to,1,event,barrels,\n", "unit.unknown", 2),
        (HEAD + '1,,ph,"7\n', "log-csv", 2),
    ],
)
def test_a_spoilt_table_is_refused_at_its_line(
    table: str, key: str, line: int | None, tmp_path: Path
) -> None:
    with pytest.raises(TankFileErrors) as caught:
        read(spoilt(tmp_path, table=table))
    problem = caught.value.problems[0]
    assert_well_said(problem)
    assert (problem.key, problem.line) == (key, line)


@pytest.mark.parametrize("volume", ["-3", "0", "true", '"many"', "inf", "[80]"])
def test_an_impossible_volume_is_refused(volume: str, tmp_path: Path) -> None:
    header = HEADER.read_text("utf-8").replace("80.0", volume)
    with pytest.raises(TankFileErrors) as caught:
        read(spoilt(tmp_path, header=header))
    assert caught.value.problems[0].key == "log-volume"
    assert_well_said(caught.value.problems[0])


def test_a_missing_header_is_named(tmp_path: Path) -> None:
    path = spoilt(tmp_path)
    path.with_suffix(".toml").unlink()
    with pytest.raises(TankFileErrors) as caught:
        read(path)
    assert caught.value.problems[0].key == "log-header-missing"


def test_a_log_is_told_from_a_tank_file() -> None:
    assert looks_like_log(LOG.read_text("utf-8"))
    assert not looks_like_log((DATA / "full.tank.toml").read_text("utf-8"))
    assert not looks_like_log("")
