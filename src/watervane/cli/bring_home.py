"""``watervane bring-home``."""

from __future__ import annotations

import json
import math
import re
from dataclasses import dataclass
from pathlib import Path

from watervane.app import BadInput, Ports, bring_home
from watervane.cli.exit_codes import FINE
from watervane.cli.printing import Printer
from watervane.records import Finding, Person, Trip
from watervane.wording import (
    finding_line,
    gap_sentences,
    homecoming_sentences,
    homecoming_steps,
    homecoming_title,
    phrase,
)


@dataclass(frozen=True, slots=True)
class Wanted:
    """The options of one call."""

    animals: str
    hours: float
    water_l: float
    gas_l: float
    gas: str
    length_cm: float | None
    ph: float | None
    kh_dkh: float | None
    gh_dgh: float | None
    temperature_c: float | None
    as_json: bool
    seed: int


# Option, least, most, unit.
RANGES = {
    "hours": ("--hours", 0.1, 96.0, " h"),
    "water_l": ("--water", 0.05, 100.0, " L"),
    "gas_l": ("--gas-space", 0.05, 200.0, " L"),
    "length_cm": ("--length", 0.3, 100.0, " cm"),
    "ph": ("--ph", 4.5, 9.5, ""),
    "kh_dkh": ("--kh", 0.0, 40.0, " dKH"),
    "gh_dgh": ("--gh", 0.0, 60.0, " dGH"),
    "temperature_c": ("--temperature", 1.0, 38.0, " °C"),
}


def run_bring_home(file: Path, wanted: Wanted, ports: Ports) -> int:
    """Work it out and print; returns the exit code."""
    found = bring_home(Person(), file, parsed_trip(wanted), wanted.seed, ports)
    if wanted.as_json:
        document = ports.homecoming_document(found.homecoming)
        print(json.dumps(document, allow_nan=False, indent=1))
        return FINE
    printer = Printer()
    printer.heading(homecoming_title(found.homecoming))
    for sentence in homecoming_sentences(found.homecoming):
        printer.sentence(sentence)
    printer.sentence("")
    printer.heading(phrase("bring-gaps"))
    for sentence in gap_sentences(found.homecoming):
        printer.item(sentence)
    printer.sentence("")
    printer.heading(phrase("bring-work"))
    for step in homecoming_steps(found.homecoming):
        printer.sentence(step)
    for finding in found.findings:
        if finding.severity != "info":
            printer.aside(finding_line(finding))
    return FINE


def parsed_trip(wanted: Wanted) -> Trip:
    """A trip as told by the options.

    Raises
    ------
    BadInput
        With everything that cannot be read or is out of range.
    """
    problems = []
    told = re.fullmatch(r"\s*(\d{1,4})\s*(?:x\s+)?(\S.*?)\s*", wanted.animals)
    if told is None or int(told[1]) < 1:
        shown = {"told": repr(wanted.animals)}
        problems.append(Finding("bring-animals-unreadable", "problem", shown))
    for name, (option, least, most, unit) in RANGES.items():
        value = getattr(wanted, name)
        if value is not None and not (math.isfinite(value) and least <= value <= most):
            words = {"option": option, "told": f"{value:g}", "unit": unit}
            bounds = {"least": f"{least:g}", "most": f"{most:g}"}
            problems.append(Finding("bring-out-of-range", "problem", {**words, **bounds}))
    if problems or told is None:
        raise BadInput(problems)
    return Trip(
        species=told[2],
        count=int(told[1]),
        hours=wanted.hours,
        water_l=wanted.water_l,
        gas_l=wanted.gas_l,
        gas=wanted.gas,
        length_cm=wanted.length_cm,
        ph=wanted.ph,
        kh_dkh=wanted.kh_dkh,
        gh_dgh=wanted.gh_dgh,
        temperature_c=wanted.temperature_c,
    )
