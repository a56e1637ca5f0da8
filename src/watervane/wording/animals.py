"""Animals of the catalogue in sentences, labelled values and lists."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from watervane.reference import AnimalsWanted, CatalogueAnimal, sources
from watervane.reference.animals import KEEPER
from watervane.reference.catalogue_words import UNKNOWN
from watervane.units import Span
from watervane.wording.amounts import listed, number
from watervane.wording.tables import NumberTable
from watervane.wording.templates import phrase

UNITS = {"temperature": " °C", "ph": "", "gh": " dGH", "kh": " dKH"}
Entry = tuple[str, str]
_MOST_SHARE = 100.0  # a share in percent


def animal_name(animal: CatalogueAnimal) -> str:
    """The usual trade name with the scientific one, or that alone."""
    if not animal.common_names:
        return phrase("animal-title-alone", scientific=animal.scientific_name)
    return phrase("animal-title", name=animal.common_names[0], scientific=animal.scientific_name)


def animal_title(animal: CatalogueAnimal) -> str:
    """Heading over one animal."""
    name = animal_name(animal)
    return name[0].upper() + name[1:]


def animal_sentences(animal: CatalogueAnimal) -> list[str]:
    """What matters before anything else, in a few sentences."""
    first = []
    if "outgrows" in animal.welfare:
        first.append(phrase("animal-outgrows-first"))
    if animal.brackish == "needs":
        first.append(phrase("animal-brackish-first"))
    mass = animal.adult_mass_g
    if animal.typical_length_cm is not None and mass is not None:
        first.append(
            phrase(
                "animal-full-grown",
                length=number(animal.typical_length_cm, 2),
                mass=number(mass, 2),
            )
        )
    first.append(phrase("animal-needs", company=_company(animal), water=_water(animal)))
    first.append(phrase(f"animal-grade-{_slug(animal.grade)}"))
    if len(animal.common_names) > 1:
        first.append(phrase("animal-also", names=listed(list(animal.common_names[1:]))))
    return [" ".join(first)]


def animal_groups(animal: CatalogueAnimal) -> Iterator[tuple[str, list[Entry]]]:
    """Each subject with its labelled values; what is not known says so."""
    yield phrase("animal-group-body"), _body(animal)
    yield phrase("animal-group-water"), _waters(animal)
    yield phrase("animal-group-place"), _place(animal)
    yield phrase("animal-group-food"), _food(animal)
    care = [phrase(f"animal-welfare-{_slug(key)}") for key in animal.welfare]
    if care:
        yield phrase("animal-group-care"), [_entry("care", text) for text in care]
    law = [phrase(f"animal-legal-{_slug(key)}") for key in animal.legal]
    law = law or [phrase("animal-legal-none")]
    yield phrase("animal-group-law"), [_entry("law", text) for text in law]
    yield phrase("animal-group-origin"), _origin(animal)


def list_title(found: Sequence[tuple[CatalogueAnimal, str]]) -> str:
    """Heading over a list."""
    if len(found) > 1:
        return phrase("animals-list-title", count=len(found))
    return phrase("animals-list-title-one" if found else "animals-list-title-none")


def list_sentences(
    found: Sequence[tuple[CatalogueAnimal, str]], wanted: AnimalsWanted
) -> list[str]:
    """What was looked for, and how to read the list."""
    asked = listed([_asked(quantity, span) for quantity, span in wanted.water.items()])
    if asked and not found:
        return [phrase("animals-list-none", water=asked)]
    first = [phrase("animals-list-for", water=asked)] if asked else []
    return [" ".join([*first, phrase("animals-list-guide")])]


def list_tables(found: Sequence[tuple[CatalogueAnimal, str]]) -> list[NumberTable]:
    """A table for each way the water suits, the best first."""
    fits = list(dict.fromkeys(fit for _, fit in sorted(found, key=lambda each: _order(each[1]))))
    names = ("name", "length", "group", "temperature", "ph", "gh", "tank", "grade")
    headers = tuple(phrase(f"animals-header-{name}") for name in names)
    tables = []
    for fit in fits:
        rows = sorted(
            (_row(animal) for animal, how in found if how == fit),
            key=lambda row: row[0].lower(),
        )
        title = phrase("animals-table-all" if fits == ["good"] else f"animals-table-{fit}")
        caption = phrase("animals-table-caption")
        tables.append(NumberTable(title, caption, headers, tuple(rows)))
    return tables


def _order(fit: str) -> int:
    return ("good", "edge", "unknown").index(fit)


def _row(animal: CatalogueAnimal) -> tuple[str, ...]:
    short = (animal.temperature_c, animal.ph, animal.gh_dgh)
    return (
        animal_name(animal),
        "?" if animal.typical_length_cm is None else number(animal.typical_length_cm, 2),
        "?" if animal.least_group is None else str(animal.least_group),
        *("?" if span is None else _dashed(span) for span in short),
        "?" if animal.tank_length_cm is None else number(animal.tank_length_cm, 2),
        phrase(f"animals-grade-{_slug(animal.grade)}"),
    )


def _body(animal: CatalogueAnimal) -> list[Entry]:
    lengths, usual, mass = animal.adult_length_cm, animal.typical_length_cm, animal.adult_mass_g
    length = told_mass = phrase("animal-unknown-value")
    if lengths is not None and usual is not None and mass is not None:
        measured = animal.form if animal.kind == "amphibian" else animal.kind
        told = {"usual": number(usual, 2), "low": number(lengths.low, 2)}
        told |= {"high": number(lengths.high, 2)}
        told |= {"measured": phrase(f"animal-measured-{_slug(measured)}")}
        length = phrase("animal-told-length", **told)
        told_mass = phrase("animal-mass", mass=number(mass, 2), form=animal.form)
    family = animal.family if animal.family != UNKNOWN else phrase("animal-unknown-value")
    return [_entry("family", family), _entry("length", length), _entry("mass", told_mass)]


def _waters(animal: CatalogueAnimal) -> list[Entry]:
    ranges = (
        ("temperature", animal.temperature_c, animal.widest_temperature_c),
        ("ph", animal.ph, animal.widest_ph),
        ("gh", animal.gh_dgh, animal.widest_gh_dgh),
        ("kh", animal.kh_dkh, animal.widest_kh_dkh),
    )
    entries = [_entry(name, _range(name, good, widest)) for name, good, widest in ranges]
    salt = _word("salt", animal.salt_group)
    if animal.brackish in {"bears", "needs"}:
        salt = listed([phrase(f"animal-brackish-{animal.brackish}"), salt])
    entries.append(_entry("salt", salt))
    entries.append(_entry("ammonia", _word("ammonia", animal.ammonia_group)))
    entries.append(_entry("nitrite", _word("nitrite", animal.nitrite_group)))
    return entries


def _place(animal: CatalogueAnimal) -> list[Entry]:
    unknown = phrase("animal-unknown-value")
    least, length = animal.least_group, animal.tank_length_cm
    group = unknown
    if least is not None:
        single = least == 1
        key = "animal-group-single" if single else "animal-group-least"
        group = phrase(key, count=least)
    tank = unknown if length is None else phrase("animal-tank", length=number(length, 2))
    zones = listed([phrase(f"animal-zone-{zone}") for zone in animal.zones]) or unknown
    territory = unknown
    if animal.territory != UNKNOWN:
        area = "?" if animal.territory_cm2 is None else number(animal.territory_cm2, 2)
        territory = phrase(f"animal-territory-{_slug(animal.territory)}", area=area)
    return [
        _entry("group", group),
        _entry("tank", tank),
        _entry("zone", zones),
        _entry("activity", _word("activity", animal.activity)),
        _entry("territory", territory),
        _entry("fins", _fins(animal)),
        _entry("jumps", _yes("jumps", told=animal.jumps)),
        _entry("breeds", _word("breeds", animal.breeds)),
    ]


def _fins(animal: CatalogueAnimal) -> str:
    if animal.nips_fins is None and animal.easily_nipped is None:
        return phrase("animal-unknown-value")
    told = [phrase("animal-fins-nips")] if animal.nips_fins else []
    told += [phrase("animal-fins-nipped")] if animal.easily_nipped else []
    return listed(told) or phrase("animal-fins-neither")


def _food(animal: CatalogueAnimal) -> list[Entry]:
    protein = prey = phrase("animal-unknown-value")
    if animal.protein_g_per_g is not None:
        ends = (animal.protein_g_per_g.low, animal.protein_g_per_g.high)
        low, high = (number(end * _MOST_SHARE, 2) for end in ends)
        protein = phrase("animal-protein", low=low, high=high)
    if animal.prey_share == 0.0:
        prey = phrase("animal-prey-none")
    elif animal.prey_share is not None and animal.typical_length_cm is not None:
        length = animal.prey_share * animal.typical_length_cm
        prey = phrase(
            "animal-prey",
            share=number(animal.prey_share * _MOST_SHARE, 2),
            length=number(length, 2),
        )
    return [
        _entry("diet", _word("diet", animal.diet)),
        _entry("protein", protein),
        _entry("prey", prey),
        _entry("plants", _word("plants", animal.eats_plants)),
    ]


def _origin(animal: CatalogueAnimal) -> list[Entry]:
    entries = [_entry("grade", phrase(f"animal-grade-{_slug(animal.grade)}"))]
    if animal.differs:
        label = "yours" if animal.source == KEEPER else "differs"
        names = [name.replace("_", " ") for name in animal.differs]
        entries.append(_entry(label, listed(names)))
    entries.append(_entry("source", _source(animal)))
    if animal.note:
        entries.append(_entry("note", animal.note))
    return entries


def _source(animal: CatalogueAnimal) -> str:
    if animal.source == KEEPER:
        return phrase("animal-source-keeper")
    title = sources()[animal.source].title
    return phrase("animal-source", source=title, quality=animal.quality)


def _company(animal: CatalogueAnimal) -> str:
    if "kept alone" in animal.welfare:
        return phrase("animal-company-one")
    if animal.least_group is None:
        return phrase("animal-company-unknown")
    if animal.least_group == 1:
        return phrase("animal-company-alone")
    return phrase("animal-company-group", count=animal.least_group)


def _water(animal: CatalogueAnimal) -> str:
    told = []
    if animal.temperature_c is not None:
        told.append(_told(animal.temperature_c, "temperature"))
    if animal.ph is not None:
        told.append(f"pH {_told(animal.ph, 'ph')}")
    if animal.gh_dgh is not None:
        told.append(_told(animal.gh_dgh, "gh"))
    return listed(told) or phrase("animal-water-unknown")


def _range(quantity: str, good: Span | None, widest: Span | None) -> str:
    if good is None:
        return phrase("animal-unknown-value")
    told = _told(good, quantity)
    if widest is None or widest == good:
        return told
    return phrase("animal-range-differs", range=told, widest=_told(widest, quantity))


def _told(span: Span, quantity: str) -> str:
    low, high = f"{span.low:g}", f"{span.high:g}"
    return phrase("animal-range", low=low, high=high, unit=UNITS[quantity])


def _asked(quantity: str, span: Span) -> str:
    name = "pH " if quantity == "ph" else ""
    if span.low == span.high:
        return f"{name}{span.low:g}{UNITS[quantity]}"
    return f"{name}{_told(span, quantity)}"


def _dashed(span: Span) -> str:
    return f"{span.low:g}\N{EN DASH}{span.high:g}"


def _word(subject: str, word: str) -> str:
    if word == UNKNOWN:
        return phrase("animal-unknown-value")
    return phrase(f"animal-{subject}-{_slug(word)}")


def _yes(subject: str, *, told: bool | None) -> str:
    if told is None:
        return phrase("animal-unknown-value")
    return phrase(f"animal-{subject}-{'yes' if told else 'no'}")


def _slug(word: str) -> str:
    return word.replace(" ", "-")


def _entry(label: str, text: str) -> Entry:
    return phrase(f"animal-label-{label}"), text
