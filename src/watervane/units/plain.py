"""Single-valued quantities of a tank file: lengths, volumes, temperatures, times."""

from __future__ import annotations

from watervane.units.errors import UnitError, shown
from watervane.units.grammar import Parsed, parse_quantity
from watervane.units.vocabulary import (
    ALTITUDE,
    CARBONATE_HARDNESS,
    DAYS,
    DURATION,
    FLOW,
    GENERAL_HARDNESS,
    LENGTH,
    MASS,
    POWER,
    TEMPERATURE,
    VOLUME,
    Dimension,
)


def parse_length_cm(text: object) -> float:
    """Read a length such as ``"60 cm"`` or ``"23 1/2 in"``; length [cm]."""
    return _single(text, LENGTH)


def parse_volume_l(text: object) -> float:
    """Read a volume such as ``"57 L"`` or ``"20 US gal"``; volume [L]."""
    return _single(text, VOLUME)


def parse_temperature_c(text: object) -> float:
    """Read a temperature such as ``"25 degC"`` or ``"77 F"``; temperature [degC]."""
    return _single(text, TEMPERATURE)


def parse_flow_l_per_h(text: object) -> float:
    """Read a flow such as ``"300 L/h"``; flow [L/h]."""
    return _single(text, FLOW)


def parse_power_w(text: object) -> float:
    """Read a power such as ``"75 W"``; power [W]."""
    return _single(text, POWER)


def parse_mass_g(text: object) -> float:
    """Read a mass such as ``"0.05 g"``; mass [g]."""
    return _single(text, MASS)


def parse_duration_h(text: object) -> float:
    """Read a duration such as ``"30 min"``; duration [h]."""
    return _single(text, DURATION)


def parse_days(text: object) -> float:
    """Read a repeat time such as ``"2 days"`` or ``"1 week"``; time [d]."""
    return _single(text, DAYS)


def parse_altitude_m(text: object) -> float:
    """Read an altitude such as ``"350 m"``; altitude [m]."""
    return _single(text, ALTITUDE)


def parse_hardness_dkh(text: object) -> float:
    """Read a carbonate hardness (alkalinity); hardness [dKH]."""
    return _single(text, CARBONATE_HARDNESS)


def parse_hardness_dgh(text: object) -> float:
    """Read a general hardness (calcium and magnesium); hardness [dGH]."""
    return _single(text, GENERAL_HARDNESS)


def _single(text: object, dimension: Dimension) -> float:
    parsed = parse_quantity(text, dimension.example)
    refuse_open(parsed, dimension.example)
    unit = dimension.unit(parsed.unit, parsed.raw)
    return dimension.canonical_value(parsed.first, unit, parsed.raw)


def refuse_open(parsed: Parsed, example: str) -> None:
    """Refuse a censored value or a range where one number is wanted."""
    if parsed.kind in ("exact", "about"):
        return
    raise UnitError(
        "unit.one-number",
        f"'{shown(parsed.raw)}' is not one number; write the single best value here, "
        f'for example "{example}".',
        read=shown(parsed.raw),
        example=example,
    )
