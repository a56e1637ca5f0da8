"""The catalogue held against what was measured, and against our older tables."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from watervane.limits import Water
from watervane.reference import CatalogueAnimal, animal_values, load_table
from watervane.units import Span
from watervane.units import conversions as mass

DATA = Path(__file__).resolve().parents[1] / "tests" / "published" / "data"
# As publications name them -> as the catalogue does.
RENAMED = {"Puntius tetrazona": "Puntigrus tetrazona"}
MOST_LENGTH_FACTOR = 1.5
OLDER_TOLERANCES = {"temperature": 2.0, "ph": 0.5, "hardness": 4.0}
OLDER_LENGTH_FACTOR = 1.3
LC50_TO_ACUTE = 3.0  # our acute limits are a third of an LC50
_SENSITIVE_FIRST = {
    "ammonia": ("sensitive", "ordinary", "hardy"),
    "nitrite": ("very sensitive", "sensitive", "tolerant"),
}


@dataclass(frozen=True, slots=True)
class Check:
    """One comparison: what of which animal, ours, theirs, whose, and how it went.

    ``verdict`` is ``agrees``, ``differs``, or ``safer`` where ours differs to the safe side.
    """

    subject: str
    animal: str
    ours: str
    theirs: str
    source: str
    verdict: str
    note: str = ""


def all_checks(animals: Sequence[CatalogueAnimal]) -> list[Check]:
    """Every comparison that the data at hand allows."""
    return [
        *thermal(animals),
        *lengths(animals),
        *groups(animals),
        *tested_order(animals),
        *older_tables(animals),
    ]


def thermal(animals: Sequence[CatalogueAnimal]) -> Iterator[Check]:
    """No range, not the widest either, reaches what disables or kills the species."""
    by_name = {animal.scientific_name: animal for animal in animals}
    for row in _rows("globtherm_freshwater_fish/globtherm_freshwater_fish.csv"):
        animal = by_name.get(row["species"])
        if animal is None:
            continue
        for side, metric in (("tmin", row["tmin_metric"]), ("tmax", row["tmax_metric"])):
            if row[f"{side}_C"]:
                limit = float(row[f"{side}_C"])
                told = f"{metric} {limit:g} degC"
                yield _beyond(animal, limit, told, "bennett2018_globtherm", hot=side == "tmax")
    for row in _rows("literature_points/thermal_and_ph_limits.csv"):
        name = row["species"].partition(" (")[0]
        animal = by_name.get(RENAMED.get(name, name))
        if animal is None:
            continue
        yield from _literature(animal, row)


def lengths(animals: Sequence[CatalogueAnimal]) -> Iterator[Check]:
    """Our largest against the longest on record; our usual one must not be longer than that."""
    longest = {
        row["species"]: float(row["max_total_length_cm"])
        for row in _rows("fishtraits_us/fishtraits_subset.csv")
        if row["max_total_length_cm"]
    }
    for animal in animals:
        record = longest.get(animal.scientific_name)
        span, usual = animal.adult_length_cm, animal.typical_length_cm
        if record is None or span is None or usual is None:
            continue
        ratio = span.high / record
        near = 1.0 / MOST_LENGTH_FACTOR <= ratio <= MOST_LENGTH_FACTOR and usual <= record
        verdict = "agrees" if near else "differs" if ratio < 1.0 else "safer"
        ours = f"usual {usual:g}, largest {span.high:g} cm"
        theirs = f"longest on record {record:g} cm"
        yield Check(
            "length", animal.scientific_name, ours, theirs, "frimpong2009_fishtraits", verdict
        )


def groups(animals: Sequence[CatalogueAnimal]) -> Iterator[Check]:
    """Our group against the hardiest one that what killed half of a species would let it join."""
    by_name = {animal.scientific_name: animal for animal in animals}
    for subject, name, value, source in _killed():
        animal = by_name.get(name)
        if animal is None:
            continue
        ours = animal.ammonia_group if subject == "ammonia" else animal.nitrite_group
        order = _SENSITIVE_FIRST[subject]
        borne = [
            group for group in order if LC50_TO_ACUTE * _acute(subject, group) <= value * 1.001
        ]
        found = borne[-1] if borne else f"below {order[0]}"
        verdict = "agrees"
        if ours != found:
            harder = not borne or order.index(ours) > order.index(found)
            verdict = "differs" if harder else "safer"
        unit = "mg NH3-N/L" if subject == "ammonia" else "mg NO2-N/L"
        theirs = f"LC50 {value:.3g} {unit}: {found}"
        yield Check(f"{subject} group", name, ours, theirs, source, verdict)


def tested_order(animals: Sequence[CatalogueAnimal]) -> Iterator[Check]:
    """Pairs of species tested with one substance: does the order of deaths follow our groups?"""
    by_name = {animal.scientific_name: animal for animal in animals}
    rows = _rows("ecotox_derived_fish_nitrogen/ecotox_fish_nitrogen_chlorine.csv")
    for substance in sorted({row["chemical"] for row in rows}):
        subject = "nitrite" if "nitrite" in substance.lower() else "ammonia"
        if subject == "ammonia" and not substance.lower().startswith("ammoni"):
            continue
        order = _SENSITIVE_FIRST[subject]
        found: list[tuple[float, str, str]] = []
        for row in rows:
            if row["chemical"] != substance or row["effect"] != "Mortality":
                continue
            animal = by_name.get(row["species"])
            group = animal and (
                animal.ammonia_group if subject == "ammonia" else animal.nitrite_group
            )
            if group in order:
                found.append((float(row["conc_as_given"]), row["species"], group))
        for index, (low, first, group) in enumerate(sorted(found)):
            for high, second, other in sorted(found)[index + 1 :]:
                if group == other:
                    continue
                follows = order.index(group) < order.index(other)
                yield Check(
                    f"{subject}, order of two",
                    f"{first}, {second}",
                    f"{group}, {other}",
                    f"{low:.3g}, {high:.3g} of {substance.partition(' (')[0].lower()}",
                    "ecotox2025",
                    "agrees" if follows else "differs",
                )


def older_tables(animals: Sequence[CatalogueAnimal]) -> Iterator[Check]:
    """A third opinion where there is one: the tables the model reads lengths and ranges from."""
    rows = {row.extra["name"]: row for row in load_table("animals")}
    for animal in animals:
        row = rows.get(animal.scientific_name)
        if row is None or animal.typical_length_cm is None:
            continue
        name = animal.scientific_name
        factor = max(animal.typical_length_cm, row.value) / min(animal.typical_length_cm, row.value)
        yield Check(
            "usual length",
            name,
            f"{animal.typical_length_cm:g} cm",
            f"{row.value:g} cm",
            "animals.csv",
            "agrees" if factor <= OLDER_LENGTH_FACTOR else "differs",
        )
        form = row.extra["form"]
        agrees = "agrees" if form == animal.form else "differs"
        yield Check("form", name, animal.form, form, "animals.csv", agrees)
        yield from _older_ranges(animal)


def _older_ranges(animal: CatalogueAnimal) -> Iterator[Check]:
    name = animal.scientific_name
    needs = {row.quantity: row for row in animal_values() if row.name == name}
    ranges = {"temperature": animal.temperature_c, "ph": animal.ph, "hardness": animal.gh_dgh}
    for quantity, span in ranges.items():
        other = needs.get(quantity)
        if other is None or other.low is None or other.high is None or span is None:
            continue
        far = max(abs(span.low - other.low), abs(span.high - other.high))
        yield Check(
            quantity,
            name,
            _told(span),
            _told(Span(other.low, other.high)),
            "animal_limits.csv",
            "agrees" if far <= OLDER_TOLERANCES[quantity] + 1e-9 else "differs",
        )
    for quantity, ours in (
        ("ammonia group", animal.ammonia_group),
        ("nitrite group", animal.nitrite_group),
        ("salt group", animal.salt_group),
    ):
        row = needs.get(quantity)
        theirs = "unknown" if row is None else row.group
        if "unknown" not in {ours, theirs}:
            verdict = "agrees" if ours == theirs else "safer"  # ours is the most careful of three
            yield Check(quantity, name, ours, theirs, "animal_limits.csv", verdict)


def _beyond(animal: CatalogueAnimal, limit: float, told: str, source: str, *, hot: bool) -> Check:
    span = animal.widest_temperature_c or animal.temperature_c
    assert span is not None  # noqa: S101 - every reviewed row has one
    end = span.high if hot else span.low
    keeps_off = end < limit if hot else end > limit
    verdict = "agrees" if keeps_off else "differs"
    return Check(
        "temperature, " + ("upper" if hot else "lower"),
        animal.scientific_name,
        f"widest {_told(span)} degC",
        told,
        source,
        verdict,
    )


def _literature(animal: CatalogueAnimal, row: dict[str, str]) -> Iterator[Check]:
    metric, numbers = row["metric"], _numbers(row["value_C_or_pH"])
    source = row["citation"]
    if metric == "CTmax":
        yield _beyond(animal, min(numbers), f"CTmax from {min(numbers):g} degC", source, hot=True)
    elif metric == "CTmin":
        yield _beyond(animal, max(numbers), f"CTmin up to {max(numbers):g} degC", source, hot=False)
    elif metric == "LT50 low / high":
        yield _beyond(animal, numbers[0], f"LT50 {numbers[0]:g} degC", source, hot=False)
        yield _beyond(animal, numbers[1], f"LT50 {numbers[1]:g} degC", source, hot=True)
    elif metric == "pH LC50 low / high":
        span = animal.widest_ph or animal.ph
        assert span is not None  # noqa: S101 - every reviewed row has one
        inside = numbers[0] < span.low and span.high < numbers[1]
        told = f"pH LC50 {numbers[0]:g} and {numbers[1]:g}"
        verdict = "agrees" if inside else "differs"
        yield Check("pH", animal.scientific_name, f"widest {_told(span)}", told, source, verdict)
    elif metric == "preferred":
        span = animal.temperature_c
        assert span is not None  # noqa: S101 - every reviewed row has one
        meets = numbers[0] <= span.high and span.low <= numbers[-1]
        told = f"preferred {numbers[0]:g} to {numbers[-1]:g} degC"
        verdict = "agrees" if meets else "differs"
        yield Check(
            "temperature, preferred", animal.scientific_name, _told(span), told, source, verdict
        )


def _killed() -> Iterator[tuple[str, str, float, str]]:
    """Subject, species, geometric mean LC50 in mg N/L (free ammonia, nitrite), source."""
    found: dict[tuple[str, str, str], list[float]] = {}
    for row in _rows("epa2013_ammonia_acute_fish/lc50_by_test.csv"):
        water = Water(
            ph=float(row["pH"]),
            temperature_c=float(row["temp_C"]),
            ammonia_mg_n_per_l=float(row["lc50_mg_TAN_N_L"]),
        )
        free = float(row["lc50_mg_TAN_N_L"]) * float(water.free_ammonia_fraction)
        found.setdefault(("ammonia", row["species"], "epa2013_ammonia"), []).append(free)
    per_n = {"mg NO2-/L": mass.NO2_PER_N, "mg NO2-N/L": 1.0, "mg NH3-N/L": 1.0}
    per_n["mg NH3/L"] = mass.NH3_PER_N
    for row in _rows("literature_points/lc50_from_abstracts.csv"):
        subject = {"nitrite": "nitrite", "un-ionised ammonia": "ammonia"}.get(row["substance"])
        if subject is not None:
            key = (subject, row["species"], row["citation"])
            found.setdefault(key, []).append(float(row["lc50"]) / per_n[row["unit"]])
    for (subject, name, source), values in found.items():
        yield subject, name, math.exp(sum(map(math.log, values)) / len(values)), source


@cache
def _acute(subject: str, group: str) -> float:
    """Our acute level of a group, as free ammonia or as nitrite in water of 19 mg Cl/L."""
    quantity = "free_ammonia_mg_n_per_l" if subject == "ammonia" else "nitrite_mg_n_per_l"
    (row,) = (
        row
        for row in load_table("limits")
        if row.quantity == quantity and row.extra["tier"] == "acute" and row.extra["group"] == group
    )
    return row.value


def _told(span: Span) -> str:
    return f"{span.low:g} to {span.high:g}"


def _numbers(text: str) -> list[float]:
    parts = text.replace(",", " ").replace("/", " ").replace("-", " ").split()
    return [float(part) for part in parts]


@cache
def _rows(place: str) -> tuple[dict[str, str], ...]:
    with (DATA / place).open(encoding="utf-8", newline="") as opened:
        return tuple(row for row in csv.DictReader(opened) if row.get("species"))
