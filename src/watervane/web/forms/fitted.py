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
    "since-media": {"media": "media", "media-volume": "media"},
    "since-bed": {"bed": "bed_material", "depth": "bed_depth"},
    "since-plants": {"plants": "plants"},
}
# The parts that are told together, each behind a fold.
GROUPS: Mapping[str, tuple[str, ...]] = {
    "tank": ("name", "filled", "volume"),
    "filter": ("media", "media-volume", "since-media", "flow", "since-flow"),
    "bed": ("bed", "depth", "since-bed"),
    "plants": ("plants", "since-plants"),
    "warmth": ("power", "set-point", "room", "since"),
    "tap": ("ph", "kh", "gh", "nitrate"),
}
_IN_UNITS = {"fitted-volume": "volume", "fitted-set-point": "temperature",
             "fitted-room": "temperature", "fitted-kh": "kh", "fitted-gh": "gh"}  # fmt: skip
_CHOSEN: Mapping[str, tuple[str, ...]] = {"bed": BEDS, "plants": PLANTS}
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")


def fields(tank: Tank) -> tuple[Field, ...]:
    """Every part of a tank as it is now; numbers that are told stay where nothing is typed."""
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
        asked(KIND, "media-volume", "text", hint=_media_now(tank), short=True),
        asked(KIND, "since-media", "date", hint=phrase("form-fitted-since-media-hint"), short=True),
        _number("flow", None if tank.filter is None else tank.filter.flow_l_per_h),
        asked(KIND, "since-flow", "date", hint=since, short=True),
        _choice("bed", BEDS, bed),
        _number("depth", None if tank.bed is None else tank.bed.depth_cm),
        asked(KIND, "since-bed", "date", hint=since, short=True),
        asked(KIND, "plants", "pick", value=tank.plants, options=options(KIND, "plants", PLANTS)),
        asked(KIND, "since-plants", "date", hint=since, short=True),
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
    """What was typed, as words for the description; what stayed empty is not touched.

    Nor is an answer that stands as it was shown, with the tank as it is now.
    """
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
    shown = "" if tank.bed is None else tank.bed.material
    new_bed = bed in BEDS and bed != shown and "bed" not in dated
    told += [f"bed.material={bed}"] if new_bed else []
    new_plants = plants in PLANTS and plants != tank.plants and "plants" not in dated
    told += [f"plants={plants}"] if new_plants else []
    volume = typed.get("media-volume", "").strip()
    if volume and "media" not in dated:
        told.append(f"filter.media={_media_word(typed)}")
    return told


def _media_word(typed: Mapping[str, str]) -> str:
    """The kind of the media and how much there is of it, as a tank file has it."""
    kind, volume = typed.get("media", ""), typed.get("media-volume", "").strip()
    litres = with_unit(volume, asked_unit("volume", "L")).replace('"', "'")
    kind = kind if kind in MEDIA else MEDIA[0]
    return f'[{{ kind = "{kind}", volume = "{litres}" }}]'


def lines(typed: Mapping[str, str]) -> list[Told]:
    """What holds since a day of its own, an entry of the log for each such day."""
    found = (_dated(typed, since, names) for since, names in OF_A_DAY.items())
    return [each for each in found if each is not None]


def _dated(typed: Mapping[str, str], field: str, names: Mapping[str, str]) -> Told | None:
    since = typed.get(field, "").strip()
    values = _told_of(field, typed)
    if not since or not values:
        return None
    given = [f"{names[name]}={value}" for name, value in values.items()]
    own = {told: name for name, told in names.items()}
    own |= {"kind": "media", "volume": "media-volume"} if "media" in names else {}
    moment = {"": field, "at": field, "from": field}
    return Told(Line("equipment", tuple(given), day_of(since)), {**own, **moment})


def _told_of(field: str, typed: Mapping[str, str]) -> dict[str, str]:
    """What is told beside a day, by the field it is told at, with its unit."""
    told = {}
    for name in OF_A_DAY[field]:
        value, key = typed.get(name, "").strip(), f"{KIND}-{name}"
        if key in NUMBERS:
            told[name] = with_unit(value, _unit(key, NUMBERS[key][1])) if value else ""
        elif name == "media-volume" and value:
            told[name] = _media_word(typed)
        elif name in _CHOSEN and value in _CHOSEN[name]:
            told[name] = value
    return {name: value for name, value in told.items() if value}


def missing(typed: Mapping[str, str]) -> list[Finding]:
    """Days that are none, and days beside which nothing is told."""
    found = []
    for field in OF_A_DAY:
        since = typed.get(field, "").strip()
        if since and day_of(since) is None:
            told = {"value": since, "field": field}
            found.append(Finding("form-bad-day", "problem", told))
        elif since and not _told_of(field, typed):
            found.append(Finding("form-day-alone", "problem", {"field": field}))
    return found


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


def _media_now(tank: Tank) -> str:
    """What is known to be in the filter, kind by kind."""
    if tank.filter is None or not tank.filter.media:
        return ""
    each_kind = (
        phrase("form-fitted-media-kind", litres=f"{each.volume_l:g}", kind=each.kind)
        for each in tank.filter.media
    )
    return phrase("form-fitted-now", now=", ".join(each_kind))
