"""A limit in words: what is over or under how much, over what time, for whom, on whose word."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from watervane.records import Finding, ToldLimit
from watervane.reference.sources import sources
from watervane.units.conversions import MEQ_PER_L_PER_DKH
from watervane.wording.amounts import acidity, concentration, listed, number
from watervane.wording.audience import read_on_page
from watervane.wording.shown import ION_PER_N, shown_species
from watervane.wording.templates import phrase

MOST_NAMED = 3
OF_THE_SPECIES = "zoology_memory"  # whose title is a sentence
NO_PUBLICATION = "not a publication"
HOUR, DAY = 1.0, 24.0
FREE_TOLD_FINELY = 0.0995  # mg N/L: under it a thousandth tells
# Documents of old tell a level by its key alone.
_OLD_KEY = re.compile(
    r"(?P<name>[a-z0-9_]+?)_(?P<side>above|below)_(?P<value>[0-9.]+)(?:_(?P<unit>\w+))?"
)
_OLD_UNITS = {"mg_n_per_l": "mg N/L", "mg_per_l": "mg/L", "dkh": "dKH"}
_NAMES = {
    "ph": "pH",
    "kh": "KH",
    "free_ammonia_mg_n_per_l": "free ammonia",
    "co2_mg_per_l": "carbon dioxide",
    "oxygen_mg_per_l": "oxygen",
    "chlorine_mg_per_l": "chlorine",
    "alkalinity_meq_per_l": "KH",
    "gh_dgh": "GH",
    "temperature_c": "temperature",
    "temperature_change_k": "the change of temperature",
    "ph_change": "the change of pH",
}
_UNITS = {
    "free_ammonia_mg_n_per_l": "mg N/L",
    "alkalinity_meq_per_l": "dKH",
    "gh_dgh": "dGH",
    "temperature_c": "°C",
    "temperature_change_k": "°C",
    "ph": "",
    "ph_change": "",
}


@dataclass(frozen=True, slots=True)
class Watched:
    """A level some quantity is to stay on one side of.

    ``told`` is the limit it is, ``None`` where a document of old tells a key alone;
    ``drawn_value`` is the level in the unit ``series_key`` carries.
    """

    key: str
    name: str
    above: bool
    level: str
    series_key: str
    drawn_value: float
    told: ToldLimit | None = None

    @property
    def tier(self) -> str:
        """``acute``, ``chronic`` or ``comfort``; a level of old is none of them."""
        return "" if self.told is None else self.told.tier

    @property
    def quantity(self) -> str:
        """The quantity with its unit, such as ``nitrite_mg_n_per_l``."""
        return self.series_key if self.told is None else self.told.quantity

    @property
    def named(self) -> str:
        """The quantity's name at the head of a sentence."""
        return self.name if self.name[:2] in ("pH", "KH", "GH") else _capital(self.name)

    @property
    def limit(self) -> str:
        """``over 0.6 mg N/L``."""
        return f"{'over' if self.above else 'under'} {self.level}"

    @property
    def text(self) -> str:
        """``nitrite over 0.6 mg N/L``."""
        return f"{self.name} {self.limit}"

    @property
    def mean(self) -> str:
        """`` averaged over 30 days``; nothing for what harms within the hour."""
        hours = HOUR if self.told is None else self.told.hours
        if hours <= HOUR:
            return ""
        if hours < DAY:
            return f" {phrase('limit-mean-hours', hours=hours)}"
        if hours == DAY:
            return f" {phrase('limit-mean-day')}"
        return f" {phrase('limit-mean-days', days=round(hours / DAY))}"

    @property
    def animals(self) -> str:
        """``neon tetra, guppy and 2 others``."""
        names = [] if self.told is None else list(self.told.animals)
        if len(names) > MOST_NAMED:
            more = len(names) - MOST_NAMED + 1
            names = [*names[: MOST_NAMED - 1], phrase("limit-others", count=more)]
        return listed(names)

    @property
    def origin(self) -> str:
        """Where the figure comes from: the key of the source, on a page its authors."""
        told = self.told
        if told is None:
            return ""
        if told.edited:
            key = "limit-of-keeper-noted" if told.note else "limit-of-keeper"
            return phrase(key, why=told.note)
        quality = phrase(f"limit-quality-{told.quality.replace(' ', '-')}")
        where = f", {told.where}" if told.where else ""
        source = _title(told.source) if read_on_page() else told.source
        if not source:
            return f"{quality.removesuffix(':')}{where}"
        return phrase("limit-origin", source=source, quality=quality, where=where)


def _title(key: str) -> str:
    """``Emerson and others (1975)``; nothing where no publication stands behind it."""
    told = sources().get(key)
    if told is None:
        return key
    if told.how_read == NO_PUBLICATION:
        return ""
    if key == OF_THE_SPECIES:
        return phrase("source-of-the-species")
    if not told.authors:
        return f"{told.title[:1].lower()}{told.title[1:]}"
    first, *others = told.authors.split(";")
    more = phrase("source-and-others") if others else ""
    return f"{first.partition(',')[0]}{more} ({told.year})"


def watched(key: str, limits: Mapping[str, ToldLimit] | None = None) -> Watched | None:
    """What stands behind a key of ``risk``; ``None`` for a key of another form.

    Parameters
    ----------
    key
        A subject and tier, such as ``nitrite_acute``, or a level of old with all it tells:
        ``nitrite_above_0.6_mg_n_per_l``.
    limits
        Of the same forecast or rehearsal, by such keys.
    """
    told = (limits or {}).get(key)
    return _of_old(key) if told is None else of_limit(told, key)


def doubted(one: Watched, findings: Iterable[Finding]) -> str:
    """The limit's text, with a word of doubt where the water's value was only assumed.

    Parameters
    ----------
    one
        A limit.
    findings
        What was assumed of the tank.
    """
    unsure = any(finding.key == "assumed-hardness" for finding in findings)
    return (
        phrase("limit-doubted", text=one.text) if unsure and one.quantity == "gh_dgh" else one.text
    )


def of_limit(told: ToldLimit, key: str = "") -> Watched:
    """A limit as it is watched."""
    series, drawn = told.quantity, told.level
    if told.quantity == "free_ammonia_mg_n_per_l" and told.total_mg_n_per_l is not None:
        series, drawn = "ammonia_mg_n_per_l", told.total_mg_n_per_l
    return Watched(
        key=key or told.key,
        name=quantity_name(told.quantity),
        above=told.side == "above",
        level=level_text(told.quantity, told.level),
        series_key=series,
        drawn_value=drawn,
        told=told,
    )


def quantity_name(quantity: str) -> str:
    """``free ammonia``: what a quantity with its unit in its name is called."""
    return _NAMES.get(quantity, quantity.partition("_")[0])


def level_text(quantity: str, level: float) -> str:
    """A level with its unit, nitrogen as forecasts print it."""
    species = quantity.removesuffix("_mg_n_per_l")
    if species in ION_PER_N:
        shown = shown_species(species)
        small = level * shown.factor < 0.0995
        return f"{number(level * shown.factor, 2)} {shown.unit}" if small else shown.amount(level)
    if quantity == "alkalinity_meq_per_l":
        value = number(level / MEQ_PER_L_PER_DKH, 2)
    elif quantity.startswith("ph"):
        value = acidity(level)
    elif quantity in ("temperature_c", "gh_dgh"):
        value = f"{level:.3g}"
    else:
        value = number(level, 2) if level < 0.0995 else concentration(level)
    return f"{value} {_UNITS.get(quantity, 'mg/L')}".strip()


def amount_text(quantity: str, value: float) -> str:
    """An amount with its unit, no finer than a kit tells; of free ammonia a thousandth."""
    if quantity == "free_ammonia_mg_n_per_l" and value < FREE_TOLD_FINELY:
        return f"{max(value, 0.0):.3f} {_UNITS[quantity]}"
    species = quantity.removesuffix("_mg_n_per_l")
    if species in ION_PER_N:
        return shown_species(species).amount(value)
    return level_text(quantity, value)


def _of_old(key: str) -> Watched | None:
    found = _OLD_KEY.fullmatch(key)
    if found is None:
        return None
    name, unit = found["name"], found["unit"] or ""
    value = float(found["value"])
    return Watched(
        key=key,
        name=_NAMES.get(name, name.replace("_", " ")),
        above=found["side"] == "above",
        level=f"{value:g} {_OLD_UNITS.get(unit, unit.replace('_', ' '))}".strip(),
        series_key=f"{name}_{unit}" if unit else name,
        drawn_value=value,
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
