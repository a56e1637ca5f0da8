"""The kinds of entry that a form can tell of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from watervane.app.habits import Usual
from watervane.records import (
    AnimalsIn,
    AnimalsOut,
    Clean,
    Died,
    Dose,
    EquipmentChange,
    Event,
    Feed,
    Habit,
    MediaMoved,
    Note,
    Outage,
    Reading,
    Seed,
    Tank,
    TopOff,
    Treatment,
    WaterChange,
)
from watervane.web.forms import animals, care, readings, upkeep
from watervane.web.forms.fields import Field, Told
from watervane.wording import phrase
from watervane.wording.in_units import told_in_units

What = Event | Habit | Reading


@dataclass(frozen=True, slots=True)
class FormKind:
    """How one kind of entry is asked, understood and filled in again."""

    name: str
    fields: Callable[[Tank, Usual], tuple[Field, ...]]
    lines: Callable[[Mapping[str, str], Tank, Usual, date | datetime | None], list[Told]]
    from_entry: Callable[[What], dict[str, str]]
    records: tuple[type, ...]
    asks_how_often: bool = False


_KINDS = (
    FormKind("readings", readings.fields, readings.lines, readings.from_entry, (Reading,)),
    FormKind(
        "feed", care.feed_fields, care.feed_lines, care.feed_from, (Feed,), asks_how_often=True
    ),
    FormKind("change", care.change_fields, care.change_lines, care.change_from, (WaterChange,)),
    FormKind(
        upkeep.TOP_OFF,
        upkeep.top_off_fields,
        upkeep.top_off_lines,
        upkeep.top_off_from,
        (TopOff,),
        asks_how_often=True,
    ),
    FormKind(
        "animals",
        animals.fields,
        animals.lines,
        animals.from_entry,
        (AnimalsIn, AnimalsOut, Died),
    ),
    FormKind("dose", care.dose_fields, care.dose_lines, care.dose_from, (Dose,)),
    FormKind(
        upkeep.TREATMENT,
        upkeep.treatment_fields,
        upkeep.treatment_lines,
        upkeep.treatment_from,
        (Treatment,),
    ),
    FormKind("seed", care.seed_fields, care.seed_lines, care.seed_from, (Seed,)),
    FormKind("clean", care.clean_fields, care.clean_lines, care.clean_from, (Clean,)),
    FormKind(
        upkeep.MEDIA,
        upkeep.media_fields,
        upkeep.media_lines,
        upkeep.media_from,
        (MediaMoved,),
    ),
    FormKind(
        upkeep.EQUIPMENT,
        upkeep.equipment_fields,
        upkeep.equipment_lines,
        upkeep.equipment_from,
        (EquipmentChange,),
    ),
    FormKind("outage", care.outage_fields, care.outage_lines, care.outage_from, (Outage,)),
    FormKind("note", care.note_fields, care.note_lines, care.note_from, (Note,)),
)
KINDS: Mapping[str, FormKind] = {kind.name: kind for kind in _KINDS}


def kind_of_entry(what: What) -> FormKind | None:
    """The form an entry can be corrected on; ``None`` where there is none yet."""
    record = type(what.template if isinstance(what, Habit) else what)
    return next((kind for kind in _KINDS if record in kind.records), None)


def again_text(kind: str, usual: Usual) -> str | None:
    """What one tap would record once more; ``None`` where there is no habit of it."""
    if kind == "feed" and usual.food is not None:
        return phrase("record-again-feed", amount=usual.food)
    if kind == "change" and usual.change is not None:
        return phrase("record-again-change", percent=f"{100 * usual.change:.0f}")
    if kind == upkeep.TOP_OFF and usual.top_off is not None:
        volume_l = usual.top_off.volume_l
        if volume_l is None:
            return phrase("record-again-top-off-mark")
        return told_in_units(phrase("record-again-top-off", litres=f"{volume_l:.3g}"))
    return None
