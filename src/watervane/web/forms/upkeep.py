"""Top-offs, media taken out, medicines, and what changed about the machines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime

from watervane.app import Line
from watervane.app.habits import Usual
from watervane.records import (
    EquipmentChange,
    Event,
    Habit,
    MediaMoved,
    Reading,
    Span,
    Tank,
    TopOff,
    Treatment,
)
from watervane.web.forms.care import DAILY, share_told
from watervane.web.forms.fields import Field, Told, asked, options
from watervane.wording import phrase
from watervane.wording.amounts import percent
from watervane.wording.in_units import asked_unit, told_in_units

When = date | datetime | None
What = Event | Habit | Reading
TOP_OFF, MEDIA, TREATMENT, EQUIPMENT = "top-off", "media", "treatment", "equipment"
# What was poured: what the line says of it.
POURED: Mapping[str, tuple[str, ...]] = {
    "conditioned": ("pure=no", "conditioner=yes"),
    "plain": ("pure=no", "conditioner=no"),
    "pure": ("pure=yes",),
}
# What may be new: the unit of a bare number, and the record's field.
SETTINGS: Mapping[str, tuple[str, str]] = {
    "heater_set_point": ("degC", "heater_set_point_c"),
    "heater_power": ("W", "heater_power_w"),
    "air_flow": ("L/h", "air_flow_l_per_h"),
    "filter_flow": ("L/h", "filter_flow_l_per_h"),
    "light_hours": ("", "light_hours"),
    "room_temperature": ("degC", "room_temperature_c"),
}
WARMTH = ("heater_set_point", "room_temperature")
# Parts that may be others now: the answers there are, or the unit of a bare number.
CHOSEN: Mapping[str, tuple[str, ...]] = {
    "plants": ("", "none", "few", "many"),
    "bed_material": ("", "gravel", "sand", "soil", "coral sand", "limestone", "none"),
}
WRITTEN: Mapping[str, str] = {"bed_depth": "cm", "bed_grain": "mm", "media": ""}
# What is seldom told on a form, by its kind: it is behind a fold.
FOLDED: Mapping[str, tuple[str, ...]] = {EQUIPMENT: (*CHOSEN, *WRITTEN)}
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?")


def top_off_fields(_tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """How much was added, of what, and whether it is so every day."""
    last = usual.top_off
    volume = "" if last is None or last.volume_l is None else _litres(last.volume_l)
    hint = phrase("form-top-off-volume-hint")
    poured = options(TOP_OFF, "water", tuple(POURED))
    often = options(TOP_OFF, "every", ("", DAILY))
    return (
        asked(TOP_OFF, "volume", "text", hint=hint, value=volume, short=True),
        asked(TOP_OFF, "water", "pick", value=_poured(last), options=poured),
        asked(TOP_OFF, "every", "pick", value="", options=often),
    )


def top_off_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """Water in the place of what went into the air; to the mark where no amount is told."""
    poured = typed.get("water", "")
    words = [*POURED.get(poured, POURED["conditioned"])]
    words += _with("volume", _with_unit(typed.get("volume", ""), asked_unit("volume", "L")))
    words += _with("every", typed.get("every", ""))
    own = {"": "volume", "volume": "volume", "pure": "water", "conditioner": "water"}
    return [Told(Line(TOP_OFF, tuple(words), at), {**own, "every": "every"})]


def top_off_from(what: What) -> dict[str, str]:
    """A top-off as it was told."""
    added = what.template if isinstance(what, Habit) else what
    if not isinstance(added, TopOff):
        return {}
    volume = "" if added.volume_l is None else _litres(added.volume_l)
    every = DAILY if isinstance(what, Habit) and what.every_days == 1 else ""
    return {"volume": volume, "water": _poured(added), "every": every}


def media_fields(_tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """How much of the media left the filter."""
    value = "" if usual.media_moved is None else percent(usual.media_moved)
    hint = phrase("form-media-share-hint")
    return (asked(MEDIA, "share", "text", hint=hint, value=value, short=True),)


def media_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A part of the media, by its share."""
    share = share_told(typed.get("share", "").strip())
    return [Told(Line("media-moved", tuple(_with("fraction", share)), at), {"": "share"})]


def media_from(what: What) -> dict[str, str]:
    """The share as it was told."""
    return {"share": percent(what.fraction)} if isinstance(what, MediaMoved) else {}


def treatment_fields(_tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """Which medicine, and what it does to the bacteria where that is known."""
    hints = {name: phrase(f"form-treatment-{name}-hint") for name in ("substance", "kill")}
    last = usual.treatment
    named = () if last is None else (last.substance,)
    value = "" if last is None else last.substance
    kill = "" if last is None or last.colony_kill is None else _percents(last.colony_kill)
    return (
        asked(TREATMENT, "substance", "text", hint=hints["substance"], value=value,
              suggested=named),
        asked(TREATMENT, "kill", "text", hint=hints["kill"], value=kill, short=True),
    )  # fmt: skip


def treatment_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """A medicine."""
    words = _with("substance", typed.get("substance", ""))
    words += _with("colony_kill", _with_unit(typed.get("kill", ""), "%"))
    own = {"": "substance", "substance": "substance", "colony_kill": "kill"}
    return [Told(Line(TREATMENT, tuple(words), at), own)]


def treatment_from(what: What) -> dict[str, str]:
    """A medicine as it was told."""
    if not isinstance(what, Treatment):
        return {}
    kill = "" if what.colony_kill is None else _percents(what.colony_kill)
    return {"substance": what.substance, "kill": kill}


def equipment_fields(tank: Tank, usual: Usual) -> tuple[Field, ...]:
    """What is new; each tells what holds as far as that is known."""
    fields = []
    for name, (_, field) in SETTINGS.items():
        told = usual.settings.get(field, _of_description(field, tank))
        now = "" if told is None else phrase("form-equipment-now", now=_setting(name, told))
        fields.append(asked(EQUIPMENT, name, "text", hint=now, short=True))
    for name, answers in CHOSEN.items():
        fields.append(asked(EQUIPMENT, name, "list", options=options(EQUIPMENT, name, answers)))
    for name in WRITTEN:
        hint = phrase("form-equipment-media-hint") if name == "media" else ""
        fields.append(asked(EQUIPMENT, name, "text", hint=hint, short=name != "media"))
    return tuple(fields)


def equipment_lines(typed: Mapping[str, str], _tank: Tank, _usual: Usual, at: When) -> list[Told]:
    """All that is new, as one entry; nothing where nothing is."""
    words = []
    for name, (usual, _) in SETTINGS.items():
        unit = asked_unit("temperature", usual) if name in WARMTH else usual
        words += _with(name, _with_unit(typed.get(name, ""), unit))
    for name in CHOSEN:
        words += _with(name, typed.get(name, ""))
    for name, unit in WRITTEN.items():
        words += _with(name, _with_unit(typed.get(name, ""), unit))
    own = {name: name for name in (*SETTINGS, *CHOSEN, *WRITTEN)}
    own |= {"kind": "media", "volume": "media"}
    return [Told(Line(EQUIPMENT, tuple(words), at), own)] if words else []


def equipment_from(what: What) -> dict[str, str]:
    """What was new, with its units."""
    if not isinstance(what, EquipmentChange):
        return {}
    found = {
        name: f"{what.changes[field]:g} {unit}".strip()
        for name, (unit, field) in SETTINGS.items()
        if field in what.changes
    }
    found |= {"plants": what.plants or "", "bed_material": what.bed_material or ""}
    for name, number in (("bed_depth", what.bed_depth_cm), ("bed_grain", what.bed_grain_mm)):
        found[name] = "" if number is None else f"{number:g} {WRITTEN[name]}"
    media = (f"{each.volume_l:g} L {each.kind}" for each in what.media or ())
    return found | {"media": ", ".join(media)}


def _of_description(field: str, tank: Tank) -> float | None:
    """A setting as the tank is described."""
    if field == "filter_flow_l_per_h":
        return None if tank.filter is None else tank.filter.flow_l_per_h
    told: float | None = getattr(tank, field)
    return told


def _poured(last: TopOff | None) -> str:
    if last is None:
        return "conditioned"
    return "pure" if last.pure else "conditioned" if last.conditioner else "plain"


def _setting(name: str, value: float) -> str:
    """As a keeper reads it."""
    return told_in_units(phrase(f"form-equipment-{name}-told", value=f"{value:g}"))


def _litres(volume_l: float) -> str:
    return f"{volume_l:.4g} L"


def _percents(span: Span) -> str:
    low, high = percent(span.low), percent(span.high)
    return low if low == high else f"{low.removesuffix(' %')} to {high}"


def _with_unit(text: str, unit: str) -> str:
    """A bare number with its unit; anything else as it was typed."""
    text = text.strip()
    return f"{text.replace(',', '.')} {unit}".strip() if _NUMBER.fullmatch(text) else text


def _with(name: str, text: str) -> list[str]:
    text = text.strip()
    return [f"{name}={text}"] if text else []
