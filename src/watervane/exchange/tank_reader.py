"""From the text of a tank file to a `Tank`, or to everything that is wrong with it."""

from __future__ import annotations

from pathlib import Path as FilePath
from typing import Any
from zoneinfo import ZoneInfo

from watervane.exchange.animal_rows import read_own_rows_of_file
from watervane.exchange.event_details import EventContext
from watervane.exchange.event_reader import read_event
from watervane.exchange.forms import Context
from watervane.exchange.kits import read_kits
from watervane.exchange.limit_edits import read_limit_edits
from watervane.exchange.moments import DEFAULT_ZONE, read_zone
from watervane.exchange.positions import Positions, positions_of
from watervane.exchange.problems import Place, Problems, Refusal, TankFileErrors, fail, shown
from watervane.exchange.readings import read_readings
from watervane.exchange.source_text import parsed, read_text
from watervane.exchange.table_reader import (
    Values,
    read_table,
    read_value,
    record_fields,
    report_unknown_key,
)
from watervane.exchange.tank_parts import tank_fields
from watervane.exchange.vocabulary import (
    AMOUNTS,
    FILE,
    FORMAT,
    RISK,
    SETTLED,
    SOURCE_WATER,
    TANK,
)
from watervane.exchange.volumes import check_volume
from watervane.records import AllowedRisk, Finding, Habit, SettledLevels, SourceWater, Tank
from watervane.reference import food_amounts


def read_tank_file(path: FilePath | str) -> Tank:
    """Read a tank file.

    Parameters
    ----------
    path
        A ``.tank.toml`` file; it is never written.

    Raises
    ------
    TankFileErrors
        One syntax error alone, or every semantic problem, each with its line.
    """
    return read_tank_file_with_remarks(path)[0]


def read_tank_file_with_remarks(path: FilePath | str) -> tuple[Tank, tuple[Finding, ...]]:
    """Read a tank file, with the cautions and assumptions that do not stop the reader."""
    where = FilePath(path)
    return _read(read_text(where), where.name)


def parse_tank_text(text: str, name: str = "tank file") -> Tank:
    """Read the text of a tank file.

    Parameters
    ----------
    text
        TOML.
    name
        Stands in for the tank's name in messages where none is told.

    Raises
    ------
    TankFileErrors
        One syntax error alone, or every semantic problem, each with its line.
    """
    return _read(text.removeprefix("\ufeff").replace("\r\n", "\n"), name)[0]


def _read(text: str, name: str) -> tuple[Tank, tuple[Finding, ...]]:
    document = parsed(text)
    positions = positions_of(text)
    _check_format(document, name, positions)
    problems = Problems(positions)
    tank = _tank(document, Place(problems))
    if problems.fatal or tank is None:
        raise TankFileErrors(problems.fatal)
    return tank, problems.remarks


def _check_format(document: dict[str, Any], name: str, positions: Positions) -> None:
    """Stop at once at a document of another kind or version: its keys may mean other things."""
    told = document.get("format")
    if told is None and "tank" not in document:
        log_header = {"volume_litres", "basis", "kit"} <= document.keys()
        fail(
            "log-header-not-tank-file" if log_header else "not-tank-file", line=1, file=shown(name)
        )
    if told is not None and told != FORMAT:
        line, _ = positions.of(("format",))
        fail("format-unknown", line=line, value=shown(told), format=FORMAT)


def _tank(document: dict[str, Any], place: Place) -> Tank | None:
    for name in document:
        if FILE.key(name) is None:
            report_unknown_key(name, FILE, place)
    if "format" not in document:
        place.at("tank").problem("format-missing", format=FORMAT)
    raw = document.get("tank")
    if raw is None:
        place.problem("tank-missing")
        return None
    if not isinstance(raw, dict):
        place.at("tank").problem("not-a-table", name="[tank]", value=shown(raw))
        return None
    context = Context(_zone(raw, place), food_amounts())
    weighed = _amounts(document, place, context)
    context = Context(context.zone, {**food_amounts(), **weighed})
    there = place.at("tank")
    values = read_table(raw, TANK, there, context)
    fields = tank_fields(values, there)
    water_l = check_volume(fields.get("volume_l"), fields.get("shape"), fields.get("bed"), there)
    fields |= {"food_amounts": weighed, "source_water": _source_water(document, place, context)}
    fields["kits"] = read_kits(document.get("kits", {}), place.at("kits"), context)
    fields["settled_levels"] = _settled(document, place, context)
    risk = read_value(document.get("risk", {}), RISK, place.at("risk", "[risk]"), context)
    fields["allowed_risk"] = AllowedRisk(**record_fields(risk or {}, RISK.keys))
    limits = document.get("limits", {})
    fields["limit_edits"] = read_limit_edits(limits, place.at("limits", "[limits]"), context)
    own = read_own_rows_of_file(document.get("animal", []), place.at("animal"), context)
    fields["own_animals"] = own
    events = EventContext(context, fields.get("filled"), water_l, own)
    fields |= _log(document, fields, place, events)
    return Tank(**fields) if place.problems.count == 0 else None


def _zone(raw: dict[str, Any], place: Place) -> ZoneInfo:
    """The keeper's zone; a wrong one is reported with the other keys of [tank]."""
    if "time_zone" not in raw:
        place.at("tank").info("assumed-time-zone", zone=DEFAULT_ZONE)
    try:
        return ZoneInfo(read_zone(raw.get("time_zone", DEFAULT_ZONE)))
    except Refusal:
        return ZoneInfo(DEFAULT_ZONE)


def _amounts(document: dict[str, Any], place: Place, context: Context) -> dict[str, Any]:
    values = read_value(
        document.get("amounts", {}), AMOUNTS, place.at("amounts", "[amounts]"), context
    )
    weighed = {}
    for name, told in (values or {}).items():
        if told.mass_g.low <= 0:
            place.at("amounts").at(name).problem(
                "not-positive", name=name, value=told.raw, example="0.03 g"
            )
        weighed[name] = told.mass_g
    return weighed


def _settled(document: dict[str, Any], place: Place, context: Context) -> SettledLevels:
    there = place.at("settled", "[settled]")
    values = read_value(document.get("settled", {}), SETTLED, there, context) or {}
    for name, level in values.items():
        if level <= 0.0:
            value = shown(document["settled"][name])
            there.at(name).problem(
                "not-positive",
                name=name,
                value=value,
                example=f"{SettledLevels().of(name)} mg/L as N",
            )
    return SettledLevels(**record_fields(values, SETTLED.keys))


def _source_water(document: dict[str, Any], place: Place, context: Context) -> SourceWater:
    there = place.at("source_water", "[source_water]")
    values = read_value(document.get("source_water", {}), SOURCE_WATER, there, context) or {}
    fields = {SOURCE_WATER_FIELDS[name]: value for name, value in values.items()}
    return SourceWater(**fields)


def _log(
    document: dict[str, Any], fields: Values, place: Place, context: EventContext
) -> dict[str, Any]:
    """Events, habits and readings; a list written as a single table is reported."""
    lists = {}
    for name in ("event", "reading"):
        lists[name] = document.get(name, [])
        if not isinstance(lists[name], list):
            place.at(name).problem("not-double-brackets", name=name)
            lists[name] = []
    there = place.at("event")
    happened = [read_event(raw, there.at(i), context) for i, raw in enumerate(lists["event"])]
    readings = read_readings(
        lists["reading"], place.at("reading"), context.values, fields["kits"], context.filled
    )
    return {
        "events": tuple(e for e in happened if e is not None and not isinstance(e, Habit)),
        "habits": tuple(h for h in happened if isinstance(h, Habit)),
        "readings": readings,
    }


SOURCE_WATER_FIELDS = {key.name: key.target for key in SOURCE_WATER.keys}
