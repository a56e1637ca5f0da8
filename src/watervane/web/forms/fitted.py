"""What a tank is made of: told after set-up, as known so far, each part for itself."""

from __future__ import annotations

import re
from collections.abc import Mapping

from watervane.app import Line
from watervane.records import Finding, Tank
from watervane.web.forms.fields import Field, Option, Told, asked, options
from watervane.web.forms.filling import day_of
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit

KIND = "fitted"
BEDS = ("gravel", "sand", "soil", "coral sand", "limestone", "none")
MEDIA = ("sponge", "foam", "ceramic", "floss", "carrier", "sand", "other")
PLANTS = ("none", "few", "many")
# Field: the key of the description it is told under, and the unit of a bare number.
NUMBERS: Mapping[str, tuple[str, str]] = {
    "fitted-volume": ("volume", "L"),
    "fitted-depth": ("bed.depth", "cm"),
    "fitted-flow": ("filter.flow", "L/h"),
    "fitted-power": ("heater.power", "W"),
    "fitted-set-point": ("heater.set_point", "degC"),
    "fitted-room": ("room.temperature", "degC"),
    "fitted-ph": ("source_water.ph", ""),
    "fitted-kh": ("source_water.kh", "dKH"),
    "fitted-gh": ("source_water.gh", "dGH"),
    "fitted-nitrate": ("source_water.nitrate", "mg/L"),
}
# What may hold since a day, by the field of that day: the name it has in a line of the log.
OF_A_DAY: Mapping[str, Mapping[str, str]] = {
    "since": {
        "power": "heater_power",
        "set-point": "heater_set_point",
        "room": "room_temperature",
    },
    "since-flow": {"flow": "filter_flow"},
}
# The parts that are told together, each behind a fold.
GROUPS: Mapping[str, tuple[str, ...]] = {
    "tank": ("name", "filled", "volume"),
    "filter": ("media", "media-volume", "flow", "since-flow"),
    "bed": ("bed", "depth"),
    "plants": ("plants",),
    "warmth": ("power", "set-point", "room", "since"),
    "tap": ("ph", "kh", "gh", "nitrate"),
}
_IN_UNITS = {"fitted-volume": "volume", "fitted-set-point": "temperature",
             "fitted-room": "temperature", "fitted-kh": "kh", "fitted-gh": "gh"}  # fmt: skip
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")


def fields(tank: Tank) -> tuple[Field, ...]:
    """Every part; numbers that are told stay as they are where nothing is typed."""
    bed = "" if tank.bed is None else tank.bed.material
    medium = "" if tank.filter is None or not tank.filter.media else tank.filter.media[0].kind
    guess = "" if tank.filled_known else phrase("form-fitted-filled-guess", day=f"{tank.filled}")
    filled = f"{tank.filled}" if tank.filled_known else ""
    since = phrase("form-fitted-since-hint")
    return (
        asked(KIND, "name", "text", value=tank.name),
        asked(KIND, "filled", "date", hint=guess, value=filled, short=True),
        _number("volume", tank.volume_l),
        _choice("media", MEDIA, medium),
        _number("media-volume", _media_l(tank)),
        _number("flow", None if tank.filter is None else tank.filter.flow_l_per_h),
        asked(KIND, "since-flow", "date", hint=since, short=True),
        _choice("bed", BEDS, bed),
        _number("depth", None if tank.bed is None else tank.bed.depth_cm),
        asked(KIND, "plants", "pick", value=tank.plants, options=options(KIND, "plants", PLANTS)),
        _number("power", tank.heater_power_w),
        _number("set-point", tank.heater_set_point_c),
        _number("room", tank.room_temperature_c),
        asked(KIND, "since", "date", hint=since, short=True),
        _number("ph", tank.source_water.ph),
        _number("kh", tank.source_water.kh_dkh),
        _number("gh", tank.source_water.gh_dgh),
        _number("nitrate", None),
    )


def words(typed: Mapping[str, str], tank: Tank) -> list[str]:
    """What was typed, as words for the description; what stayed empty is not touched."""
    told = _name_and_filling(typed, tank)
    dated = [
        name for since, names in OF_A_DAY.items() if typed.get(since, "").strip() for name in names
    ]
    for name, (key, unit) in NUMBERS.items():
        field = name.removeprefix("fitted-")
        value = typed.get(field, "").strip()
        if value and field not in dated:
            told.append(f"{key}={with_unit(value, _unit(name, unit))}")
    bed, plants = typed.get("bed", ""), typed.get("plants", "")
    told += [f"bed.material={bed}"] if bed in BEDS else []
    told += [f"plants={plants}"] if plants in PLANTS else []
    medium, volume = typed.get("media", ""), typed.get("media-volume", "").strip()
    if volume:
        kind = medium if medium in MEDIA else MEDIA[0]
        litres = with_unit(volume, asked_unit("volume", "L")).replace('"', "'")
        told.append(f'filter.media=[{{ kind = "{kind}", volume = "{litres}" }}]')
    return told


def lines(typed: Mapping[str, str]) -> list[Told]:
    """What holds since a day of its own, an entry of the log for each such day."""
    found = (_dated(typed, since, names) for since, names in OF_A_DAY.items())
    return [each for each in found if each is not None]


def _dated(typed: Mapping[str, str], field: str, names: Mapping[str, str]) -> Told | None:
    since = typed.get(field, "").strip()
    values = {name: value for name in names if (value := typed.get(name, "").strip())}
    if not since or not values:
        return None
    given = []
    for name, value in values.items():
        key = f"{KIND}-{name}"
        given.append(f"{names[name]}={with_unit(value, _unit(key, NUMBERS[key][1]))}")
    own = {told: name for name, told in names.items()}
    moment = {"": field, "at": field, "from": field}
    return Told(Line("equipment", tuple(given), day_of(since)), {**own, **moment})


def missing(typed: Mapping[str, str]) -> list[Finding]:
    """Days that are none."""
    told = {field: typed.get(field, "").strip() for field in OF_A_DAY}
    return [
        Finding("form-bad-day", "problem", {"value": since, "field": field})
        for field, since in told.items()
        if since and day_of(since) is None
    ]


def _name_and_filling(typed: Mapping[str, str], tank: Tank) -> list[str]:
    name, filled = (typed.get(each, "").strip() for each in ("name", "filled"))
    told = [f"name={name}"] if name and name != tank.name else []
    if filled and (filled != f"{tank.filled}" or not tank.filled_known):
        told += [f"filled={filled}", "filled_known="]
    return told


def field_of(key: str, typed: Mapping[str, str]) -> str:
    """The field that a key of the description is asked at."""
    if key in ("", "volume") and not typed.get("volume", "").strip():
        return "media-volume"  # the only other volume there is
    for name, (told, _) in NUMBERS.items():
        if key in (told, told.rpartition(".")[2]):
            return name.removeprefix("fitted-")
    return {"material": "bed", "media": "media-volume"}.get(key, key)


def with_unit(text: str, unit: str) -> str:
    """A bare number with its unit; anything else as it is."""
    bare = _NUMBER.fullmatch(text) is not None
    return f"{text.replace(',', '.')} {unit}".strip() if bare else text


def _unit(name: str, unit: str) -> str:
    return asked_unit(_IN_UNITS[name], unit) if name in _IN_UNITS else unit


def _number(name: str, told: float | None) -> Field:
    unit = NUMBERS.get(f"{KIND}-{name}", ("", "L"))[1].replace("degC", "\N{DEGREE SIGN}C")
    now = "" if told is None else phrase("form-fitted-now", now=f"{told:g} {unit}".strip())
    return asked(KIND, name, "text", hint=now, short=True)


def _choice(name: str, values: tuple[str, ...], told: str) -> Field:
    unknown = Option("", phrase("form-fitted-unknown"))
    return asked(KIND, name, "list", value=told,
                 options=(unknown, *options(KIND, name, values)))  # fmt: skip


def _media_l(tank: Tank) -> float | None:
    if tank.filter is None or not tank.filter.media:
        return None
    return sum(each.volume_l for each in tank.filter.media)
