"""What is looked for in the catalogue of animals: a name, or a water and a kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from urllib.parse import urlencode

from watervane.app import BadInput, Ports
from watervane.records import Finding, SourcePlan, Tank
from watervane.reference.catalogue_waters import QUANTITIES
from watervane.reference.catalogue_words import ONE_WORD
from watervane.web.forms.fields import Field, asked, filled_in, options
from watervane.wording import phrase
from watervane.wording.in_units import asked_unit

KIND = "animals-page"
UNITS = {"temperature": "degC", "gh": "dGH", "kh": "dKH"}
KINDS = ("", *ONE_WORD["kind"])


def name_field(typed: str, names: Sequence[str], wrong: Sequence[Finding]) -> Field:
    """The animal that is looked for."""
    field = asked(KIND, "name", "text", suggested=tuple(names))
    return filled_in((field,), {"name": typed}, {"name": wrong} if wrong else {})[0]


def water_fields(
    typed: Mapping[str, str], wrong: Mapping[str, Sequence[Finding]]
) -> tuple[Field, ...]:
    """The water that is to suit, and which kind of animal."""
    fields = (
        asked(KIND, "kind", "list", value="", options=options(KIND, "kind", KINDS)),
        *(
            asked(KIND, name, "text", short=True, hint=phrase(f"form-animals-page-{name}-hint"))
            for name in QUANTITIES
        ),
    )
    return filled_in(fields, typed, wrong)


def water_of(tank: Tank) -> dict[str, str]:
    """Fields filled in with a tank's source water, and the warmth its heater holds."""
    water = tank.source_water
    told = {"ph": water.ph, "gh": water.gh_dgh, "kh": water.kh_dkh}
    found = {name: f"{value:g}" for name, value in told.items() if value is not None}
    warmth = tank.heater_set_point_c
    found |= {} if warmth is None else {"temperature": f"{warmth:g}"}
    return {name: f"{value} {UNITS.get(name, '')}".strip() for name, value in found.items()}


def animals_query(typed: Mapping[str, str], water: SourcePlan | None = None) -> str:
    """The water of a plan, as an address of the catalogue tells it.

    Parameters
    ----------
    typed
        What was typed of it.
    water
        As worked out: once it has stood with air, in a tank where animals breathe.
    """
    told = {name: typed[name] for name in ("ph", "gh", "kh") if typed.get(name)}
    if water is not None:
        told = {
            "ph": f"{water.tank_ph.low:.1f}..{water.tank_ph.high:.1f}",
            "gh": f"{water.aired.gh_dgh:.3g} dGH",
            "kh": f"{water.aired.kh_dkh:.3g} dKH",
        }
    return f"?{urlencode(told)}" if told else ""


def words_of(
    typed: Mapping[str, str], ports: Ports
) -> tuple[list[str], Mapping[str, Sequence[Finding]]]:
    """The water as words for the catalogue, and what is wrong by field."""
    words, wrong = [], {}
    for name in QUANTITIES:
        value = typed.get(name, "").strip()
        if not value:
            continue
        bare = name in UNITS and not any(letter.isalpha() for letter in value.replace("to", ""))
        unit = f" {asked_unit(name, UNITS[name])}" if bare else ""
        word = f"{name} {value}{unit}"
        try:
            ports.animals.read_wanted(None, [word])
            words.append(word)
        except BadInput as error:
            wrong[name] = error.problems
    return words, wrong
